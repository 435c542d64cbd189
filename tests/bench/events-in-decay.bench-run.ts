import { expect, test } from 'vitest';
import { alignTake } from '../../pipeline/align.ts';
import { measureTake } from '../../pipeline/measure-take.ts';
import { normaliseTake } from '../../pipeline/normalise.ts';
import type { ResponseResult } from '../../src/report/results.ts';
import { type EventScene, eventScene } from './event-scene.ts';
import { recorded } from './fault-injection.ts';
import { roomLikeTake } from './room-like-take.ts';

/**
 * A second sound in the decay of one clap of four: how many full-range times it leaves wrong by more than 5 % and two of their standard
 * errors, without a flag, and how many clean takes are accused, rooms that echo and bend among them. Run by hand: npm run bench:events.
 * SECONDS sets how many takes each row has, CLEAN how many clean ones, FROM the number of the first.
 */
const FROM = Number(process.env.FROM ?? 0);
const SECONDS = Number(process.env.SECONDS ?? 24);
const CLEAN = Number(process.env.CLEAN ?? 100);
const SOURCES = ['clap', 'balloon', 'board'] as const;
const HIT = 1;
const LEVELS_DB = [-10, -15, -20];
const AFTER_S = [0.04, 0.06, 0.08, 0.1, 0.15, 0.2];

function measured(samples: Float64Array, rate_hz: number): ResponseResult[] {
  const take = normaliseTake(recorded(samples, { rate_hz, bits: 24 }), 1)!;
  const aligned = alignTake(take, { kind: 'impulse', source: 'clap', sweep: { sweep: null } });
  return measureTake(take, aligned, { level_db: undefined, widths: ['octave'] }).responses;
}

const usedAt = (responses: ResponseResult[], scene: EventScene) =>
  responses.find(({ used, onset_s }) => used && Math.abs(onset_s - scene.claps[HIT]!.onset / scene.rate_hz) < 0.01);

/** The same take with the sound of another of its claps under the decay of one. */
function withSecond({ samples, claps, rate_hz }: EventScene, level_db: number, after_s: number): Float64Array {
  const out = samples.slice();
  const start = claps[HIT]!.onset + Math.round(after_s * rate_hz);
  const { sound } = claps[HIT + 1]!;
  for (let i = 0; i < sound.length && start + i < out.length; i++) out[start + i]! += 10 ** (level_db / 20) * sound[i]!;
  return out;
}

function wrongTimes(found: ResponseResult, truth: ResponseResult): { wrong: number; unflagged: number } {
  const wrong = found.bands.filter((band, i) => {
    const true_s = truth.bands[i]!.tfull_s;
    if (band.tfull_s === null || true_s === null) return false;
    return Math.abs(band.tfull_s / true_s - 1) > Math.max(0.05, (2 * band.tfull_standard_error_s!) / true_s);
  });
  return { wrong: wrong.length, unflagged: wrong.filter(({ flags }) => flags.tfull_s === undefined).length };
}

test('a second sound in the decay of one clap of four', () => {
  const rows = new Map<string, { takes: number; aside: number; wrong: number; unflagged: number }>();
  for (let number = FROM; number < FROM + SECONDS; number++) {
    const scene = eventScene(`in decay ${number}`, { clutter: false, source: SOURCES[number % 3]! });
    const truth = usedAt(measured(scene.samples, scene.rate_hz), scene);
    if (!truth) continue;
    for (const level_db of LEVELS_DB) {
      for (const after_s of AFTER_S) {
        const key = `| ${level_db} dB | ${after_s} s |`;
        const row = rows.get(key) ?? { takes: 0, aside: 0, wrong: 0, unflagged: 0 };
        rows.set(key, row);
        row.takes++;
        const found = usedAt(measured(withSecond(scene, level_db, after_s), scene.rate_hz), scene);
        if (!found) row.aside++;
        else {
          const { wrong, unflagged } = wrongTimes(found, truth);
          row.wrong += wrong;
          row.unflagged += unflagged;
        }
      }
    }
  }
  const lines = [...rows].map(
    ([key, { takes, aside, wrong, unflagged }]) => `${key} ${aside} of ${takes} | ${wrong} | ${unflagged} |`,
  );
  console.log(
    [
      '| level | after | clap set aside | times over 5 % off | of these unflagged |',
      '|---|---|---|---|---|',
      ...lines,
    ].join('\n'),
  );
  const all = [...rows.values()];
  const sum = (pick: (row: (typeof all)[number]) => number) => all.reduce((total, row) => total + pick(row), 0);
  console.log(
    `all: ${sum((row) => row.unflagged)} unflagged in ${sum((row) => row.takes - row.aside)} claps that are used`,
  );
  expect(sum((row) => row.unflagged)).toBeLessThan(0.1 * sum((row) => row.takes));
});

test(`accusations of ${CLEAN} clean takes, each kind of room`, () => {
  const lines: string[] = [];
  let accused = 0;
  let takes = 0;
  for (const kind of ['plain', 'flutter', 'strong reflection', 'two slopes', 'low modes', 'coupled rooms'] as const) {
    const remarks: string[] = [];
    const count = kind === 'plain' ? CLEAN : Math.ceil(CLEAN / 4);
    for (let number = FROM; number < FROM + count; number++) {
      const { samples, rate_hz } =
        kind === 'plain'
          ? eventScene(`in decay clean ${number}`, { clutter: false, source: SOURCES[number % 3]! })
          : roomLikeTake(`${kind} ${number}`, kind);
      const spoiled = measured(samples, rate_hz).flatMap(({ faults }) => faults.map(({ message }) => message));
      if (spoiled.length > 0) remarks.push(`${kind} ${number}: ${spoiled.join('; ')}`);
    }
    takes += count;
    accused += remarks.length;
    lines.push(`| ${kind} | ${remarks.length} of ${count} |`, ...remarks.slice(0, 4));
  }
  console.log(['| room | accused |', '|---|---|', ...lines].join('\n'));
  expect(accused / takes).toBeLessThanOrEqual(0.01);
});
