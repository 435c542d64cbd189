import type { TakeResult } from '../report/results.ts';
import type { BandQuantity } from '../room/reading.ts';
import type { Change, StageFinding } from '../statistics/finding.ts';
import { type BandChange, type BandValue, bandsOf } from './band-rows.ts';
import type { TakeRange } from './quality.ts';

/** The octave values of one quantity, ready to be drawn: the interval is the value with its expanded uncertainty. */
export function stageRows(stages: readonly StageFinding[], quantity: BandQuantity): BandValue[] {
  return stages.flatMap((stage) =>
    stage.values.flatMap((row) => {
      if (row.quantity !== quantity || row.width !== 'octave' || row.centre_hz === 'mid') return [];
      const { centre_hz, value, expanded_uncertainty: reach } = row;
      const [low, high] = value === null || reach === null ? [null, null] : [value - reach, value + reach];
      return [{ stage: stage.id, centre_hz, value, low, high, flagged: row.status === 'flagged' }];
    }),
  );
}

/** The octave changes of one quantity: in per cent for times, as they stand for levels. */
export function changeRows(change: Change, quantity: BandQuantity): BandChange[] {
  return change.values.flatMap((row): BandChange[] => {
    if (row.quantity !== quantity || row.width !== 'octave' || row.centre_hz === 'mid') return [];
    const { centre_hz, verdict } = row;
    return quantity.endsWith('_s')
      ? [{ centre_hz, verdict, value: row.percent, low: row.percent_low, high: row.percent_high }]
      : [{ centre_hz, verdict, value: row.difference, low: row.low, high: row.high }];
  });
}

/** The least range of a take's used responses in each octave. */
export function takeRange(take: TakeResult): TakeRange {
  const bands = take.responses.filter((response) => response.used).flatMap((response) => response.bands);
  const octaves = bands.filter((band) => band.width === 'octave');
  return {
    file: take.file,
    ranges: bandsOf(octaves).map((centre_hz) => {
      const ranges = octaves.filter((band) => band.centre_hz === centre_hz).map((band) => band.range_db);
      const known = ranges.filter((range) => range !== null);
      return { centre_hz, range_db: known.length === ranges.length ? Math.min(...known) : null };
    }),
  };
}
