import { expect, test } from 'vitest';
import { summariseModes } from '../../src/room/mode-advice.ts';

const BOX = { length_m: 5.2, width_m: 3.6, height_m: 2.6 };

test('the octaves fall into modal, mixed and statistical at the Schroeder frequency', () => {
  const summary = summariseModes(BOX, 0.5, 343);
  // 202.7 Hz: above the upper edge of the 125 Hz octave (177.8), inside 250 Hz, under the lower edge of 500 Hz (354.8).
  expect(summary.bands.map((band) => band.standing)).toEqual(['modal', 'modal', 'mixed', 'statistical']);
});

test('modes that fall together are named: a length of twice the height doubles its modes', () => {
  const summary = summariseModes(BOX, 0.5, 343);
  const first = summary.coincident[0]!;
  expect(first.frequency_hz).toBeCloseTo(65.962, 3);
  expect(first.orders).toEqual([
    [0, 0, 1],
    [2, 0, 0],
  ]);
});

test('the widest gap lies between the two lowest modes', () => {
  const gap = summariseModes(BOX, 0.5, 343).widest_gap!;
  expect(gap.from_hz).toBeCloseTo(32.981, 3);
  expect(gap.to_hz).toBeCloseTo(47.639, 3);
});

test('counts by kind add up to the list, and the spacing to the width of the band', () => {
  const summary = summariseModes(BOX, 0.4, 343);
  expect(summary.counts.axial + summary.counts.tangential + summary.counts.oblique).toBe(summary.modes.length);
  const octave = summary.bands[1]!;
  expect(octave.modes).toBeGreaterThan(20);
  expect(octave.mean_spacing_hz! * (octave.modes - 1)).toBeLessThanOrEqual(octave.high_hz - octave.low_hz);
});
