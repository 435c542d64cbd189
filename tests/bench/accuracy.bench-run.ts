import { expect, test } from 'vitest';
import { readResponse } from '../../src/room/read-response.ts';
import { BAND_WIDTHS, type BandReading } from '../../src/room/reading.ts';
import { bandsOf } from '../../src/signal/bands.ts';
import { statisticalBandwidth_hz } from '../../src/signal/statistical-bandwidth.ts';
import { simulateResponse } from '../room/simulated-response.ts';

/**
 * How far readings stand from the truth, and how often they are refused, over simulated responses with a known decay.
 * Run by hand: npm run bench:accuracy. DRAWS in the environment sets the number of responses a setting.
 */
const DRAWS = Number(process.env.DRAWS ?? 40);
const TIMES_S = [0.08, 0.15, 0.3, 0.6, 1.2, 3];
const RANGES_DB = [25, 35, 45, 55, 70];
const LN_MILLION = Math.log(1e6);

/**
 * Cramer-Rao bound of the relative spread of a decay time, amplitude and noise unknown too: information of a chi-square
 * energy with `bandwidth_hz` degrees a second, added up in thin slices from the start of the fit to the end of the samples.
 */
function cramerRao(options: { decay_time_s: number; range_db: number; bandwidth_hz: number; end_s: number }): number {
  const { decay_time_s, range_db, bandwidth_hz, end_s } = options;
  const rate = LN_MILLION / decay_time_s;
  const noise = 10 ** (-range_db / 10);
  const start_s = Math.max(0.005, Math.min(0.02, decay_time_s / 10));
  const step_s = (end_s - start_s) / 20000;
  let [aa, ar, an, rr, rn, nn] = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < 20000; i++) {
    const t = start_s + (i + 0.5) * step_s;
    const power = Math.exp(-rate * t);
    const a = power / (power + noise);
    const n = 1 - a;
    const r = -rate * t * a;
    const weight = bandwidth_hz * step_s;
    aa += weight * a * a;
    ar += weight * a * r;
    an += weight * a * n;
    rr += weight * r * r;
    rn += weight * r * n;
    nn += weight * n * n;
  }
  const determinant = aa * (rr * nn - rn * rn) - ar * (ar * nn - rn * an) + an * (ar * rn - rr * an);
  return Math.sqrt((aa * nn - an * an) / determinant);
}

function percentile(values: number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
}
const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
const spread = (values: number[]) => {
  const centre = mean(values);
  return Math.sqrt(values.reduce((sum, value) => sum + (value - centre) ** 2, 0) / (values.length - 1));
};

/** What one setting, or several put together, gave. */
interface Tally {
  responses: number;
  /** Per cent, against the noise-free reading of the same response. */
  errors: Record<'edt_s' | 't20_s' | 't30_s', number[]>;
  given: Record<'edt_s' | 't20_s' | 't30_s' | 'tfull_s', number>;
  /** Relative error of tfull against the truth, and the same over the bound and over its stated standard error. */
  full: number[];
  overBound: number[];
  overStated: number[];
  twoSlopes: number;
}
const emptyTally = (): Tally => ({
  responses: 0,
  errors: { edt_s: [], t20_s: [], t30_s: [] },
  given: { edt_s: 0, t20_s: 0, t30_s: 0, tfull_s: 0 },
  full: [],
  overBound: [],
  overStated: [],
  twoSlopes: 0,
});

function count(
  tally: Tally,
  at: { reading: BandReading; clean: BandReading; decay_time_s: number; bound: number },
): void {
  const { reading, clean, decay_time_s, bound } = at;
  tally.responses++;
  if (reading.two_slopes) tally.twoSlopes++;
  for (const quantity of ['edt_s', 't20_s', 't30_s'] as const) {
    if (reading[quantity] !== null) tally.given[quantity]++;
    if (reading[quantity] === null || clean[quantity] === null) continue;
    tally.errors[quantity].push(100 * Math.abs(reading[quantity] / clean[quantity] - 1));
  }
  if (reading.tfull_s === null) return;
  tally.given.tfull_s++;
  const error = reading.tfull_s / decay_time_s - 1;
  tally.full.push(error);
  tally.overBound.push(error / bound);
  tally.overStated.push((reading.tfull_s - decay_time_s) / reading.tfull_standard_error_s!);
}

const cell = (value: number, digits: number) => (Number.isFinite(value) ? value.toFixed(digits) : '-').padStart(6);

function row(label: string, tally: Tally): string {
  const refused = (quantity: keyof Tally['given']) => cell(100 * (1 - tally.given[quantity] / tally.responses), 0);
  const pairs = (['edt_s', 't20_s', 't30_s'] as const).map(
    (quantity) =>
      `${cell(percentile(tally.errors[quantity], 0.5), 2)} ${cell(percentile(tally.errors[quantity], 0.95), 2)} ${refused(quantity)}`,
  );
  const full = [
    cell(100 * mean(tally.full), 2),
    cell(100 * spread(tally.full), 2),
    cell(spread(tally.overBound), 2),
    cell(spread(tally.overStated), 2),
    refused('tfull_s'),
    cell((100 * tally.twoSlopes) / tally.responses, 1),
  ];
  return `${label} |${pairs.join(' |')} |${full.join(' ')}`;
}
const HEAD = [
  '                          |  EDT                |  T20                |  T30                |  tfull',
  '                          |   med    95%   ref%|   med    95%   ref%|   med    95%   ref%|  bias%  sd%   /CRB  /s.e.   ref%  two%',
];

test('accuracy over decay time, range and band', () => {
  const byBand = new Map<string, Tally>();
  const byProduct = new Map<string, Tally>();
  const put = (map: Map<string, Tally>, key: string) => map.get(key) ?? map.set(key, emptyTally()).get(key)!;
  for (const range_db of RANGES_DB) {
    for (const [t, decay_time_s] of TIMES_S.entries()) {
      const bounds = new Map<string, number>();
      for (let draw = 0; draw < DRAWS; draw++) {
        const seed = 1 + draw + 1000 * (t + 10 * range_db);
        const { samples, clean, rate_hz, zero_sample } = simulateResponse({ seed, decay_time_s, range_db });
        const readings = readResponse(samples, { rate_hz, zero_sample, widths: BAND_WIDTHS }).bands;
        const cleans = readResponse(clean, { rate_hz, zero_sample, widths: BAND_WIDTHS }).bands;
        const end_s = (samples.length - zero_sample) / rate_hz;
        for (const [i, reading] of readings.entries()) {
          const { width, centre_hz } = reading;
          const band = bandsOf(width).find((other) => other.centre_hz === centre_hz)!;
          const key = `${width} ${centre_hz}`;
          const bandwidth_hz = statisticalBandwidth_hz(band, rate_hz);
          const bound = bounds.get(key) ?? cramerRao({ decay_time_s, range_db, bandwidth_hz, end_s });
          bounds.set(key, bound);
          const product = band.bandwidth_hz * decay_time_s;
          const label = product < 8 ? '4-8' : product < 20 ? '8-20' : product < 50 ? '20-50' : '50 up';
          const at = { reading, clean: cleans[i]!, decay_time_s, bound };
          if (product >= 4) count(put(byProduct, `B*T ${label.padEnd(6)} range ${range_db}`), at);
          count(put(byBand, `${width.padEnd(12)} ${String(centre_hz).padStart(5)} ${range_db}`), at);
        }
      }
    }
  }
  const lines = [`${DRAWS} responses a setting, T ${TIMES_S.join(', ')} s, range in dB`, '', 'By B*T', ...HEAD];
  const keys = [...byProduct.keys()].sort();
  lines.push(
    ...keys.map((key) => row(key.padEnd(25), byProduct.get(key)!)),
    '',
    'By band, all decay times together',
    ...HEAD,
  );
  const order = (key: string) => [key.startsWith('o') ? 0 : 1, ...key.split(/\s+/).slice(1).map(Number)];
  const sorted = [...byBand.keys()].sort((a, b) => {
    const [x, y] = [order(a), order(b)];
    return x[0]! - y[0]! || x[1]! - y[1]! || x[2]! - y[2]!;
  });
  lines.push(...sorted.map((key) => row(key.padEnd(25), byBand.get(key)!)));
  console.log(lines.join('\n'));
  const sure = emptyTally();
  for (const range_db of [35, 45, 55, 70]) {
    const tally = byProduct.get(`B*T 50 up  range ${range_db}`)!;
    sure.full.push(...tally.full);
    sure.overBound.push(...tally.overBound);
  }
  expect(Math.abs(mean(sure.full))).toBeLessThan(0.01);
  expect(spread(sure.overBound)).toBeLessThan(1.15);
});
