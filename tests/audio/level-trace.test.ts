import { expect, it } from 'vitest';
import { levelTrace, meanLevel_db, quietLevel_db, SILENCE_DB } from '../../src/audio/level-trace.ts';

const rate_hz = 8000;

it('meanLevel_db is ten times the logarithm of the mean square over the frames', () => {
  const trace = levelTrace(
    Float64Array.from({ length: 800 }, (_, i) => (i < 400 ? 0.1 : 1)),
    rate_hz,
  );
  expect(trace.frames).toBe(100);
  expect(meanLevel_db(trace, 0, 50)).toBeCloseTo(-20, 10);
  expect(meanLevel_db(trace, 50, 100)).toBeCloseTo(0, 10);
  expect(meanLevel_db(trace, 0, 100)).toBeCloseTo(10 * Math.log10((0.01 + 1) / 2), 10);
});

it('meanLevel_db is the level of silence where there is nothing', () => {
  const trace = levelTrace(new Float64Array(80), rate_hz);
  expect(meanLevel_db(trace, 0, 10)).toBe(SILENCE_DB);
  expect(meanLevel_db(trace, 7, 3)).toBe(SILENCE_DB);
});

it('quietLevel_db is what the quiet parts keep to, digital silence left out', () => {
  const samples = Float64Array.from({ length: 16000 }, (_, i) => (i < 4000 ? 0 : i < 12000 ? 0.01 : 0.5));
  expect(quietLevel_db(levelTrace(samples, rate_hz))).toBeCloseTo(-40, 6);
});
