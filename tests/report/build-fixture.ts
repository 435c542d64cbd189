import { readFileSync } from 'node:fs';
import { parse } from 'yaml';
import { roomVolume_m3 } from '../../src/project/room-size.ts';
import { buildDocument } from '../../src/report/build-document.ts';
import type { ReportDocument } from '../../src/report/document.ts';
import type { Figure } from '../../src/report/figure.ts';
import type { Results } from '../../src/report/results.ts';
import { createWords, type WordTree } from '../../src/report/words.ts';
import { type Target, targetByBand } from '../../src/room/targets.ts';
import { fixtureFigures } from './fixture.ts';

/** The catalogue as it lies in templates/words/en.yaml. */
export const ENGLISH_TREE = parse(
  readFileSync(new URL('../../templates/words/en.yaml', import.meta.url), 'utf8'),
) as WordTree;

/** The words the reports of the tests are made of. */
export const ENGLISH = createWords('en-GB', ENGLISH_TREE);

/** The target that the project of some results asks for. */
export function fixtureTarget({ project }: Results): Target {
  return targetByBand(project.purpose, roomVolume_m3(project.room));
}

/** The document of some invented results, with the target their project asks for and stand-ins for the charts. */
export function fixtureDocument(results: Results, figures: Figure[] = fixtureFigures(results)): ReportDocument {
  return buildDocument({ results, figures, target: fixtureTarget(results), words: ENGLISH });
}
