import { compareStages, type ReadingAt } from '../../src/statistics/compare-stages.ts';
import { type Scene, STAGES } from './coverage-drawn.ts';
import { count, newTally, type Outcome, type Tally } from './coverage-tally.ts';

/** Tallies by row, in the order the rows first came up. */
export type Table = Map<string, Tally>;

export const QUANTITIES: readonly Outcome['quantity'][] = ['tfull_s', 't20_s', 't30_s', 'edt_s'];
export const POSITIONS = [1, 2, 3, 6] as const;
export const CLAPS = [1, 3, 6] as const;

/** Runs the comparison over readings of the two stages. */
export function compareScene(readings: readonly ReadingAt[]) {
  return compareStages({
    stages: STAGES.map((id) => ({ id, temperature_c: null, humidity_percent: null })),
    readings,
    pairs: [STAGES],
  });
}

/** The part of a measurement that its first positions and claps make. */
export function subset(readings: readonly ReadingAt[], positions: number, claps: number): ReadingAt[] {
  return readings.filter(
    (reading) => Number(reading.position.slice(1)) < positions && Number(reading.take.split('-').at(-1)) < claps,
  );
}

/** Counts one measurement under every plan that is part of it, in rows by plan, range, band, overdispersion and correlation. */
export function countPlans(
  table: Table,
  scene: Scene,
  readings: readonly ReadingAt[],
  plans: { positions: readonly number[]; claps: readonly number[] } = { positions: POSITIONS, claps: CLAPS },
): void {
  for (const positions of plans.positions) {
    for (const claps of plans.claps) {
      const { stages, changes } = compareScene(subset(readings, positions, claps));
      for (const quantity of QUANTITIES) {
        const outcome = { scene, quantity, stages, change: changes[0]! };
        const plan = `${quantity} | ${positions} x ${claps}`;
        count(row(table, `${plan} | all`), outcome);
        if (quantity !== 'tfull_s') continue;
        count(row(table, `${plan} | range ${rangeClass(scene.range_db)} dB`), outcome);
        for (const centre_hz of scene.bands_hz)
          count(row(table, `${plan} | ${centre_hz} Hz`), { ...outcome, centre_hz });
        if (claps !== 3) continue;
        count(row(table, `${plan} | overdispersion ${thirdOf(scene.overdispersion, 1, 1.5)}`), outcome);
        count(row(table, `${plan} | correlation ${thirdOf(scene.correlation, 0, 0.8)}`), outcome);
      }
    }
  }
}

/** The table in Markdown. Shares in per cent; every share's own sampling error in the last column is that of the smallest count. */
export function printed(table: Table): string {
  const lines = [
    '| quantity | positions x claps | row | values | holds the true T | changes | holds the true change | bands claiming | headlines claiming | +- (95 %) |',
    '|---|---|---|---|---|---|---|---|---|---|',
  ];
  for (const [name, tally] of table) {
    if (tally.values === 0) continue;
    const share = (part: number, whole: number) => (whole === 0 ? '-' : ((100 * part) / whole).toFixed(1));
    lines.push(
      `| ${name} | ${tally.values} | ${share(tally.values_held, tally.values)} | ${tally.changes} | ` +
        `${share(tally.changes_held, tally.changes)} | ${share(tally.claims, tally.changes)} | ` +
        `${share(tally.headline_claims, tally.headlines)} | ${samplingError(tally.measurements).toFixed(1)} |`,
    );
  }
  return lines.join('\n');
}

/** Half-width, in points, of the 95 % interval of a share near 95 % counted over independent measurements. */
export function samplingError(measurements: number): number {
  return 100 * 1.96 * Math.sqrt((0.95 * 0.05) / measurements);
}

function row(table: Table, name: string): Tally {
  const tally = table.get(name) ?? newTally();
  table.set(name, tally);
  return tally;
}

function rangeClass(range_db: number): string {
  if (range_db < 35) return '25-35';
  if (range_db < 45) return '35-45';
  return range_db < 55 ? '45-55' : '55-70';
}

function thirdOf(value: number, low: number, high: number): string {
  const third = Math.min(2, Math.floor((3 * (value - low)) / (high - low)));
  const edge = (i: number) => (low + ((high - low) * i) / 3).toFixed(2);
  return `${edge(third)}-${edge(third + 1)}`;
}
