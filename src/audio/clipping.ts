/** A stretch of samples held flat at an extreme. */
export interface ClippedRun {
  start: number;
  length: number;
  /** How far the true peak would have stood above the flat top, estimated, in dB. */
  overshoot_db: number;
  /** How far the flat top lies under full scale, in dB; 0 at full scale. */
  below_full_scale_db: number;
}

/** Samples within this share of the ceiling count as on it: two steps of 16 bits at full scale. */
const ON_CEILING = 6e-5;
/** A flank counts as steep when the step into the flat top is this share of the ceiling: a smooth peak has no such step. */
const STEEP_FLANK = 0.01;
/** At full scale a flank need only be steeper than the top of a slow wave can be. */
const STEEP_AT_FULL_SCALE = 10 * ON_CEILING;
/** Beside a pair of equal samples the flanks must be steeper still. */
const STEEP_PAIR = 0.05;
/** Flat tops quieter than this (-30 dB) are coarse quantisation, not clipping. */
const QUIETEST_CEILING = 0.03;
/** The parabola through the flanks cannot tell more than this. */
const MOST_OVERSHOOT_DB = 20;

/**
 * The stretches where a recording was clipped: samples of one sign that stand at one ceiling, the loudest of the recording,
 * oftener than chance has it; at full scale, or below it with steep flanks on both sides. The second form is what remains
 * when a clipped recording is turned down or normalised afterwards.
 *
 * The overshoot of a run is that of a parabola that meets both flanks with the slope found there: slope times a quarter
 * of the run's length. Common practice, no source: it serves to say by how much to lower the gain, not to mend anything.
 *
 * @param samples one channel as decoded, full scale 1, before anything is taken away from it
 * @returns the runs in order
 */
export function clippedRuns(samples: Float64Array): ClippedRun[] {
  const extremes = extremesOf(samples);
  const highest = extremes.highest.reduce((most, value) => Math.max(most, value), 0);
  const lowest = extremes.lowest.reduce((least, value) => Math.min(least, value), 0);
  const runs = [...runsAt(samples, highest, extremes.highest), ...runsAt(samples, lowest, extremes.lowest)];
  return runs.sort((a, b) => a.start - b.start);
}

/** Samples a stretch whose extremes are known. */
const STRETCH = 1024;

/** The highest and the lowest sample of each stretch, zero at least and at most: most stretches come nowhere near the ceiling. */
function extremesOf(samples: Float64Array): { highest: Float64Array; lowest: Float64Array } {
  const stretches = Math.ceil(samples.length / STRETCH);
  const [highest, lowest] = [new Float64Array(stretches), new Float64Array(stretches)];
  for (let stretch = 0; stretch < stretches; stretch++) {
    let [most, least] = [0, 0];
    const end = Math.min(samples.length, (stretch + 1) * STRETCH);
    for (let i = stretch * STRETCH; i < end; i++) {
      const value = samples[i]!;
      if (value > most) most = value;
      else if (value < least) least = value;
    }
    highest[stretch] = most;
    lowest[stretch] = least;
  }
  return { highest, lowest };
}

/**
 * The share of samples that lie in clipped runs, from 0 to 1.
 */
export function clippedShare(samples: Float64Array): number {
  const clipped = clippedRuns(samples).reduce((sum, run) => sum + run.length, 0);
  return samples.length === 0 ? 0 : clipped / samples.length;
}

/** @param extremes of each stretch, on the side of the ceiling */
function runsAt(samples: Float64Array, ceiling: number, extremes: Float64Array): ClippedRun[] {
  const size = Math.abs(ceiling);
  if (size < QUIETEST_CEILING) return [];
  const sign = Math.sign(ceiling);
  const near = size * (1 - ON_CEILING);
  const atFullScale = Math.abs(size - 1) < 1e-4;
  const below_full_scale_db = Math.max(0, -20 * Math.log10(size));
  const runs: (ClippedRun & { steepness: number })[] = [];
  for (let i = 0; i < samples.length; i++) {
    if (i % STRETCH === 0 && extremes[i / STRETCH]! * sign < near) {
      i += STRETCH - 1;
      continue;
    }
    if (samples[i]! * sign < near) continue;
    const start = i;
    while (i < samples.length && samples[i]! * sign >= near) i++;
    const length = i - start;
    const into = start > 0 ? size - samples[start - 1]! * sign : 0;
    const out = i < samples.length ? size - samples[i]! * sign : 0;
    const steepness = Math.min(into, out) / size;
    if (steepness < (atFullScale ? STEEP_AT_FULL_SCALE : STEEP_FLANK)) continue;
    const overshoot = (((into + out) / 2) * length) / 4;
    const overshoot_db = Math.min(MOST_OVERSHOOT_DB, 20 * Math.log10(1 + overshoot / size));
    runs.push({ start, length, overshoot_db, below_full_scale_db, steepness });
  }
  return isClipping(runs) ? runs : [];
}

/**
 * Peaks may touch the ceiling one by one, as those of a steady tone do, and two samples beside a smooth peak be equal; more
 * than that is no chance.
 */
function isClipping(runs: { length: number; steepness: number }[]): boolean {
  const samples = runs.reduce((sum, { length }) => sum + length, 0);
  const longest = runs.reduce((most, { length }) => Math.max(most, length), 0);
  const steepPair = runs.some(({ length, steepness }) => length === 2 && steepness >= STEEP_PAIR);
  return longest >= 3 || steepPair || (samples >= 3 && longest >= 2);
}
