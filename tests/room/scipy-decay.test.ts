import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { readResponse } from '../../src/room/read-response.ts';
import type { BandWidth } from '../../src/room/reading.ts';
import { simulateResponse } from './simulated-response.ts';

/** Made by tests/reference/scipy-decay.py, which states its versions in the file and reruns by hand. */
interface Reference {
  versions: Record<string, string>;
  responses: {
    seed: number;
    decay_time_s: number;
    range_db: number;
    rate_hz: number;
    samples: { first: number[]; sum_of_squares: number };
    bands: ({ width: BandWidth; centre_hz: number } & Record<Compared, number>)[];
  }[];
}
type Compared = 'edt_s' | 't20_s' | 't30_s' | 'nonlinearity_permille' | 'c50_db' | 'c80_db' | 'd50' | 'ts_s';

const reference: Reference = JSON.parse(
  readFileSync(new URL('../reference/scipy-decay.json', import.meta.url), 'utf8'),
);

test.each(reference.responses)('T $decay_time_s s at $rate_hz Hz: T20, T30 and EDT within 1 % of scipy', (response) => {
  const { samples, rate_hz, zero_sample } = simulateResponse(response);
  // The very same samples first.
  response.samples.first.forEach((value, i) => {
    expect(samples[i]).toBeCloseTo(value, 12);
  });
  expect(samples.reduce((sum, value) => sum + value * value, 0) / response.samples.sum_of_squares).toBeCloseTo(1, 9);
  const { bands } = readResponse(samples, { rate_hz, zero_sample, widths: ['octave', 'third-octave'] });
  let compared = 0;
  for (const expected of response.bands) {
    const found = bands.find(({ width, centre_hz }) => width === expected.width && centre_hz === expected.centre_hz)!;
    const name = `${expected.width} ${expected.centre_hz} Hz`;
    for (const quantity of ['edt_s', 't20_s', 't30_s'] as const) {
      expect(Math.abs(found[quantity]! / expected[quantity] - 1), `${name} ${quantity}`).toBeLessThan(0.01);
    }
    expect(Math.abs(found.ts_s! / expected.ts_s - 1), `${name} Ts`).toBeLessThan(0.01);
    // 1 % of the early energy is 0.04 dB; at 50 and 80 ms the energy of a low band moves by more within a sample's reach.
    expect(Math.abs(found.c50_db! - expected.c50_db), `${name} C50`).toBeLessThan(0.1);
    expect(Math.abs(found.c80_db! - expected.c80_db), `${name} C80`).toBeLessThan(0.1);
    expect(Math.abs(found.d50! / expected.d50 - 1), `${name} D50`).toBeLessThan(0.01);
    expect(Math.abs(found.nonlinearity_permille! - expected.nonlinearity_permille), `${name} xi`).toBeLessThan(1);
    compared++;
  }
  expect(compared).toBeGreaterThanOrEqual(10);
});
