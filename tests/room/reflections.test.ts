import { expect, test } from 'vitest';
import { readEarly } from '../../src/room/reflections.ts';

/** A band-limited pulse at a fractional place: a sinc under a smooth window. */
function addPulse(inPlace: Float64Array, at: number, amplitude: number): void {
  for (let i = Math.max(0, Math.ceil(at - 60)); i < Math.min(inPlace.length, at + 60); i++) {
    const x = i - at;
    const window = Math.cos((Math.PI * x) / 120) ** 2;
    inPlace[i] = inPlace[i]! + amplitude * window * (x === 0 ? 1 : Math.sin(0.4 * Math.PI * x) / (0.4 * Math.PI * x));
  }
}

test('two reflections are listed with delay, path at 343 m/s and level; one 26 dB down is not', () => {
  const samples = new Float64Array(9600);
  addPulse(samples, 1000, 1);
  addPulse(samples, 1000 + 240.5, 0.5);
  addPulse(samples, 1000 + 720, 0.2);
  addPulse(samples, 1000 + 1500, 0.05);
  const { reflections } = readEarly(samples, 48000, 998);
  expect(reflections).toHaveLength(2);
  expect(reflections[0]!.delay_s * 1000).toBeCloseTo(240.5 / 48, 1);
  // 343 m/s: 331 + 0.6 t at 20 degrees Celsius, ISO 354:2003, 8.1.2.1.
  expect(reflections[0]!.extra_path_m).toBeCloseTo((343 * 240.5) / 48000, 1);
  // The ripple of the direct sound at the edge of the pass-band adds or takes 0.2 dB.
  expect(Math.abs(reflections[0]!.level_db + 6.02)).toBeLessThan(0.2);
  expect(reflections[1]!.delay_s * 1000).toBeCloseTo(15, 1);
  expect(Math.abs(reflections[1]!.level_db + 13.98)).toBeLessThan(0.2);
});

test('the curve covers 50 ms in at most 400 steps, 0 dB near the direct sound', () => {
  const samples = new Float64Array(9600);
  addPulse(samples, 1000, 0.3);
  const { early } = readEarly(samples, 48000, 998);
  expect(early.level_db.length * early.step_s).toBeCloseTo(0.05, 6);
  expect(early.level_db.length).toBeLessThanOrEqual(400);
  expect(Math.max(...early.level_db)).toBeGreaterThan(-3);
  expect(Math.max(...early.level_db)).toBeLessThanOrEqual(0);
});

test('silence and a response cut after the direct sound give an empty list', () => {
  expect(readEarly(new Float64Array(4800), 48000, 100)).toMatchObject({ early: { level_db: [] }, reflections: [] });
  const short = new Float64Array(300);
  addPulse(short, 100, 1);
  expect(readEarly(short, 48000, 98).reflections).toEqual([]);
});
