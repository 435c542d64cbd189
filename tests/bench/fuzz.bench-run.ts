import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { readTake } from '../../pipeline/analyse.ts';
import { decodeAudio } from '../../pipeline/decode.ts';
import { parseProject } from '../../src/project/parse-project.ts';
import { BAND_WIDTHS } from '../../src/room/reading.ts';
import { drawFrom } from '../hostile/draw.ts';
import { faultOfDecoded, faultOfFault, faultOfParsed, notFinite } from '../hostile/holds.ts';
import { HOSTILE_SOUNDS } from '../hostile/sounds.ts';
import { HOSTILE_TEXTS } from '../hostile/text.ts';
import { folderCase, noteCase, removeCase } from './fuzz-folders.ts';
import { Guard, type Tally, tallyTable } from './fuzz-guard.ts';

/**
 * Broken and hostile input, drawn from a seed. FUZZ_SEED gives another seed, FUZZ_SHARE so much of the cases (1: all), FUZZ_ONLY=kind
 * one kind, FUZZ_ONLY=kind:number one case. Cases that fail are written to FUZZ_FOLDER, a new folder for passing files if left out.
 */
const SEED = process.env.FUZZ_SEED ?? '1';
const SHARE = Number(process.env.FUZZ_SHARE ?? 1);
const [ONLY_KIND, ONLY_NUMBER] = (process.env.FUZZ_ONLY ?? '').split(':');
const FOLDER = process.env.FUZZ_FOLDER ?? mkdtempSync(join(tmpdir(), 'decaybook-fuzz-'));

const guard = new Guard(FOLDER);
console.log(`seed ${SEED}, cases that fail go to ${FOLDER}`);

function each_now(kind: string, count: number, one: (number: number) => void): void {
  if (ONLY_KIND && ONLY_KIND !== kind) return;
  const [from, to] = ONLY_NUMBER ? [Number(ONLY_NUMBER), Number(ONLY_NUMBER) + 1] : [0, Math.ceil(count * SHARE)];
  for (let number = from; number < to; number++) one(number);
}

async function each(kind: string, count: number, one: (number: number) => Promise<void>): Promise<void> {
  if (ONLY_KIND && ONLY_KIND !== kind) return;
  if (ONLY_NUMBER) return one(Number(ONLY_NUMBER));
  for (let number = 0; number < Math.ceil(count * SHARE); number++) await one(number);
}

test('sound files, decoded', async () => {
  const counts: Record<string, number> = {
    'WAV put together': 30_000,
    'WAV altered': 15_000,
    'MP4 boxes that lie': 6000,
    'beginnings and noise': 4000,
    'small files that unfold': 100,
  };
  for (const [kind, make] of Object.entries(HOSTILE_SOUNDS)) {
    await each(kind, counts[kind] ?? 2000, async (number) => {
      const bytes = make(drawFrom(`${SEED} ${kind} ${number}`));
      await guard.run(kind, number, bytes, async () => {
        const decoded = await decodeAudio(bytes);
        return { fault: faultOfDecoded(decoded), read: decoded.ok };
      });
    });
  }
});

test('takes, from the file to the readings', async () => {
  const path = join(FOLDER, 'take.bin');
  const take = { file: 'take.bin', stage: 'bare', position: 'A', kind: null, channel: null, sha256: null };
  for (const [kind, make] of Object.entries(HOSTILE_SOUNDS)) {
    const count = kind.startsWith('WAV') ? 3000 : kind === 'small files that unfold' ? 20 : 150;
    await each(`take of ${kind}`, count, async (number) => {
      const draw = drawFrom(`${SEED} take ${kind} ${number}`);
      const bytes = make(draw);
      writeFileSync(path, bytes);
      const stated = draw.pick([
        null,
        null,
        'impulse',
        'response',
        'noise-off',
        'background',
        'passage',
        'calibration',
        'sweep',
      ] as const);
      await guard.run(`take of ${kind}`, number, bytes, async () => {
        const settings = {
          channel: 1,
          source: draw.pick([null, 'clap', 'loudspeaker'] as const),
          sweep: { sweep: null },
        };
        const level = stated === 'calibration' ? { level_db: 94 } : {};
        const { result, traces } = await readTake(
          FOLDER,
          { ...take, kind: stated, ...level },
          { settings, widths: BAND_WIDTHS },
        );
        const words = result.faults.map(faultOfFault).find((fault) => fault !== null);
        return { fault: notFinite(result) ?? notFinite(traces, 'traces') ?? words ?? null, read: result.used };
      });
    });
  }
});

test('project files', async () => {
  for (const [kind, make] of Object.entries(HOSTILE_TEXTS)) {
    await each(kind, 8000, async (number) => {
      const bytes = make(drawFrom(`${SEED} ${kind} ${number}`));
      await guard.run(kind, number, bytes, () => {
        const text = new TextDecoder().decode(bytes);
        const parsed = parseProject(text, 'project.yaml');
        return { fault: faultOfParsed(parsed, text), read: parsed.project !== null };
      });
    });
  }
});

test('folders, by the real command', () => {
  const base = join(FOLDER, 'folder');
  const kind = 'folder';
  const tally: Tally = { kind, cases: 0, read: 0, slowest_ms: 0, failures: [] };
  let [peak_mb, traced, others] = [0, 0, 0];
  each_now(kind, 150, (number) => {
    const name = `${SEED} folder ${number}`;
    const outcome = folderCase(base, name);
    removeCase(base);
    tally.cases++;
    traced += Number(outcome.traced);
    others += Number(outcome.asOther);
    peak_mb = Math.max(peak_mb, outcome.peak_mb);
    if (!outcome.traced) tally.slowest_ms = Math.max(tally.slowest_ms, outcome.processor_ms);
    if (outcome.fault !== null)
      tally.failures.push(`folder ${number}: ${outcome.what}: ${outcome.fault} (${noteCase(FOLDER, outcome, name)})`);
  });
  if (tally.cases > 0) guard.tallies.set(kind, tally);
  console.log(
    `folders: ${others} as another user, ${traced} with every opening traced, highest memory ${peak_mb.toFixed(0)} MB`,
  );
});

afterAll(async () => {
  console.log(
    `\n${tallyTable(guard.tallies.values())}\n\nhighest memory of the process: ${guard.peak_mb.toFixed(0)} MB`,
  );
  await guard.close();
  const failures = [...guard.tallies.values()].flatMap(({ failures }) => failures);
  for (const failure of failures.slice(0, 60)) console.log(failure);
  expect(failures).toEqual([]);
});
