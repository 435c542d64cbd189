import { expect, test } from 'vitest';
import { readResponse } from '../../src/room/read-response.ts';
import { BAND_WIDTHS } from '../../src/room/reading.ts';
import { bandsOf } from '../../src/signal/bands.ts';
import { statisticalBandwidth_hz } from '../../src/signal/statistical-bandwidth.ts';
import { simulateResponse } from '../room/simulated-response.ts';
import { clairvoyant } from '../room/slope-power.ts';
import { type TwoSlopeSetting, twoSlopeResponse } from '../room/two-slope-response.ts';

/**
 * How often two slopes are found, where the second is the larger term for 10 dB before the noise, and how often in decays of
 * one slope. Beside it the ceiling: what the best test finds that is told both decays and takes 2 % of single slopes for two.
 * Run by hand: npm run bench:accuracy. SLOPE_DRAWS sets the number of responses a setting.
 */
const DRAWS = Number(process.env.SLOPE_DRAWS ?? 200);
const RATE_HZ = 24000;
const SETTINGS: TwoSlopeSetting[] = (
  [
    [0.3, 1, 20],
    [0.3, 1, 35],
    [0.3, 1, 50],
    [0.3, 0.6, 40],
    [0.5, 1, 50],
    [0.2, 0.5, 30],
    [0.6, 1.5, 30],
    [0.15, 0.6, 25],
  ] as const
).map(([early_s, late_s, crossing_db]) => ({ early_s, late_s, crossing_db, held_db: 10 }));
/** From this deviance on the ceiling is 100 %. */
const ENOUGH = 20;
const CLASSES = [0, 5, 10, ENOUGH, 30, 100];
const FALSE_SHARE = 0.02;

interface Count {
  looked: number;
  found: number;
  /** How many the ceiling would have found. */
  findable: number;
}
const put = <K>(map: Map<K, Count>, key: K, { found, power }: { found: boolean; power: number }) => {
  const count = map.get(key) ?? map.set(key, { looked: 0, found: 0, findable: 0 }).get(key)!;
  count.looked++;
  count.findable += power;
  if (found) count.found++;
};
const percent = ({ looked, found }: Count) => `${((100 * found) / looked).toFixed(1).padStart(6)} % of ${looked}`;
const besideCeiling = (count: Count) =>
  `${percent(count)}, ceiling ${((100 * count.findable) / count.looked).toFixed(1).padStart(6)} %`;

test('a second slope that holds for 10 dB is found wherever the band tells enough of it', () => {
  const bySetting = new Map<string, Count>();
  const byDeviance = new Map<number, Count>();
  for (const [index, setting] of SETTINGS.entries()) {
    const ceilings = new Map<string, ReturnType<typeof clairvoyant>>();
    for (let draw = 0; draw < DRAWS; draw++) {
      const { samples, zero_sample } = twoSlopeResponse(setting, { seed: 1 + draw + 1000 * index, rate_hz: RATE_HZ });
      for (const reading of readResponse(samples, { rate_hz: RATE_HZ, zero_sample, widths: BAND_WIDTHS }).bands) {
        const band = bandsOf(reading.width).find((other) => other.centre_hz === reading.centre_hz)!;
        if (band.upper_hz > 0.45 * RATE_HZ || band.bandwidth_hz * setting.early_s < 8) continue;
        const { bandwidth_hz } = band;
        const statistical_hz = statisticalBandwidth_hz(band, RATE_HZ);
        const key = `${reading.width} ${reading.centre_hz}`;
        const told = { bandwidth_hz, statistical_hz, false_share: FALSE_SHARE };
        const { deviance, power } = ceilings.get(key) ?? clairvoyant(setting, told);
        ceilings.set(key, { deviance, power });
        const seen = { found: reading.two_slopes !== null, power };
        put(byDeviance, CLASSES.findLast((least) => deviance >= least)!, seen);
        const { early_s, late_s, crossing_db } = setting;
        const label = `${early_s} and ${late_s} s crossing at -${crossing_db} dB, ${key}`;
        put(bySetting, `${label.padEnd(56)} deviance ${deviance.toFixed(0).padStart(4)}`, seen);
      }
    }
  }
  console.log(
    [...bySetting]
      .filter(([key]) => / octave /.test(key))
      .map(([key, count]) => `${key}  ${besideCeiling(count)}`)
      .join('\n'),
  );
  const classes = [...byDeviance].sort(([a], [b]) => a - b);
  console.log(
    classes
      .map(([least, count]) => `deviance ${String(least).padStart(3)} up: found ${besideCeiling(count)}`)
      .join('\n'),
  );
  const enough = classes.filter(([least]) => least >= ENOUGH).map(([, count]) => count);
  for (const { looked, found } of enough) expect(found / looked).toBeGreaterThanOrEqual(0.93);
});

test('no more than 2 % of decays with one slope are taken for two', () => {
  const byRange = new Map<string, Count>();
  const all: Count = { looked: 0, found: 0, findable: 0 };
  for (const [t, decay_time_s] of [0.15, 0.3, 0.8].entries()) {
    for (const range_db of [30, 40, 55, 70]) {
      for (let draw = 0; draw < Math.ceil(DRAWS / 2); draw++) {
        const seed = 1 + draw + 1000 * (t + 10 * range_db);
        // Quiet for a short or a long while after the decay, as recordings go.
        const tail_s = [0.3, 1, 4][draw % 3]!;
        const source = simulateResponse({ seed, decay_time_s, range_db, rate_hz: RATE_HZ, tail_s });
        const { samples, zero_sample } = source;
        for (const reading of readResponse(samples, { rate_hz: RATE_HZ, zero_sample, widths: BAND_WIDTHS }).bands) {
          if (reading.edt_s === null) continue;
          put(byRange, `T ${decay_time_s} s, range ${range_db} dB`, { found: reading.two_slopes !== null, power: 0 });
          all.looked++;
          if (reading.two_slopes) all.found++;
        }
      }
    }
  }
  console.log([...byRange].map(([key, count]) => `${key.padEnd(24)} taken for two ${percent(count)}`).join('\n'));
  console.log(`all: ${percent(all)} bands`);
  for (const { looked, found } of byRange.values()) expect(found / looked).toBeLessThanOrEqual(0.02);
});
