import { expect, test } from 'vitest';
import { bandsOf, OCTAVES, THIRD_OCTAVES } from '../../src/signal/bands.ts';

// IEC 61260-1:2014, 5.2 to 5.5: G = 10^(3/10), midbands 1000 G^(x/b), edges at G^(+-1/(2b)). Computed to three decimals.
const OCTAVE_TABLE = [
  [63, 63.096, 44.668, 89.125],
  [125, 125.893, 89.125, 177.828],
  [250, 251.189, 177.828, 354.813],
  [500, 501.187, 354.813, 707.946],
  [1000, 1000, 707.946, 1412.538],
  [2000, 1995.262, 1412.538, 2818.383],
  [4000, 3981.072, 2818.383, 5623.413],
  [8000, 7943.282, 5623.413, 11220.185],
] as const;
const THIRD_TABLE = [
  [50, 50.119, 44.668, 56.234],
  [63, 63.096, 56.234, 70.795],
  [100, 100, 89.125, 112.202],
  [160, 158.489, 141.254, 177.828],
  [250, 251.189, 223.872, 281.838],
  [630, 630.957, 562.341, 707.946],
  [1250, 1258.925, 1122.018, 1412.538],
  [3150, 3162.278, 2818.383, 3548.134],
  [10000, 10000, 8912.509, 11220.185],
] as const;

test.each([
  ['octave', OCTAVE_TABLE],
  ['third-octave', THIRD_TABLE],
] as const)('%s midbands and edges are the exact base-ten ones', (width, table) => {
  for (const [nominal, exact_hz, lower_hz, upper_hz] of table) {
    const band = bandsOf(width).find(({ centre_hz }) => centre_hz === nominal)!;
    expect(band.exact_hz).toBeCloseTo(exact_hz, 3);
    expect(band.lower_hz).toBeCloseTo(lower_hz, 3);
    expect(band.upper_hz).toBeCloseTo(upper_hz, 3);
  }
});

test('8 octaves and 24 one-third octaves, each edge the next one begins at', () => {
  expect(OCTAVES).toHaveLength(8);
  expect(THIRD_OCTAVES).toHaveLength(24);
  for (const bands of [OCTAVES, THIRD_OCTAVES]) {
    for (let i = 1; i < bands.length; i++) expect(bands[i]!.lower_hz / bands[i - 1]!.upper_hz).toBeCloseTo(1, 9);
  }
});

test('bandwidth over midband is 0.704592 for octaves, 0.230768 for thirds', () => {
  for (const band of OCTAVES) expect(band.bandwidth_hz / band.exact_hz).toBeCloseTo(0.704592, 6);
  for (const band of THIRD_OCTAVES) expect(band.bandwidth_hz / band.exact_hz).toBeCloseTo(0.230768, 6);
});
