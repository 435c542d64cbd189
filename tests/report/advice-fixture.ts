import type { AdviceInput } from '../../src/advice/what-next.ts';
import { whatNext } from '../../src/advice/what-next.ts';
import { type Context, createContext } from '../../src/report/context.ts';
import type { Section, Table } from '../../src/report/document.ts';
import type { Results, TakeResult } from '../../src/report/results.ts';
import { projectTarget } from '../../src/room/targets.ts';
import { ENGLISH } from './build-fixture.ts';

const TAKE: TakeResult = {
  file: 'recordings/bare/A/1.wav',
  sha256: null,
  stage: 'bare',
  position: 'A',
  kind: 'impulse',
  rate_hz: 48000,
  seconds: 4,
  channel: 1,
  used: true,
  faults: [],
  responses: [],
};

/** Results with the advice that follows from them; one recording stands for all, as no section of advice looks at recordings. */
export function advisedResults(input: AdviceInput): Results {
  const { project, stages, changes } = input;
  return {
    format: 'decaybook-results/1',
    tool: { name: 'decaybook', version: '0.0.0' },
    project,
    takes: stages.length === 0 ? [] : [TAKE],
    stages: [...stages],
    changes: [...changes],
    advice: whatNext(input),
  };
}

/** What the sections of such results are built from, without charts. */
export function advisedContext(input: AdviceInput): Context {
  return createContext({
    results: advisedResults(input),
    figures: [],
    target: projectTarget(input.project),
    words: ENGLISH,
  });
}

/** A table of a section by its id; null where it is not there. */
export function tableOf(section: Section | null, id: string): Table | null {
  const found = section?.blocks.find((block): block is Table => block.kind === 'table' && block.id.startsWith(id));
  return found ?? null;
}
