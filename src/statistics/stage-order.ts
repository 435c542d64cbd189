import type { BandReading } from '../room/reading.ts';
import type { ReadingAt } from './cells.ts';
import { upperProbability } from './f-distribution.ts';
import { floorVariance } from './spread-floor.ts';

/** A stage whose recordings seem to lie in the folder of the one before it, and the other way round. */
export interface SwappedStages {
  from: string;
  to: string;
  /** The positions at which they seem swapped. All of those shared: it is the direction that is odd, not one of them. */
  positions: string[];
  all: boolean;
  /** Rise of the decay time at these positions, mean over bands, and at the others (null where there are none), per cent. */
  percent: number;
  others_percent: number | null;
}

const BANDS_HZ: ReadonlySet<number> = new Set([250, 500, 1000, 2000, 4000]);
/** Probability that any of the looks calls positions different by chance; and how unlikely the swapped ones may be to fit. */
const SIGNIFICANCE = 0.002;
const FIT_SIGNIFICANCE = 0.01;
/** Decays spread over places by so many times what theory gives as the least; of that so many degrees of freedom are known (an assumption). */
const OVERDISPERSION = 1.4;
const USUAL_DOF = 20;
/** Smaller changes are too small to tell their direction by. */
const LEAST_CHANGE = 0.05;

interface Step {
  centre_hz: number;
  /** ln(after / before). */
  change: number;
  variance: number;
}

/**
 * Whether the recordings of two stages seem to lie in each other's folder. At some positions: where the change there is not that of the
 * others but its reverse (an F test over the bands against the spread over places, divided by the looks). At all: where material
 * that absorbs was added and the room rings longer, beyond what a change of place could do. null where nothing says so.
 */
export function swappedStages(
  readings: readonly ReadingAt[],
  { from, to, absorbing, looks }: { from: string; to: string; absorbing: boolean; looks: number },
): SwappedStages | null {
  const positions = [...new Set(readings.map(({ position }) => position))].sort();
  const steps = new Map(
    positions
      .map((position) => [position, stepsAt(readings, { from, to, position })] as const)
      .filter(([, own]) => own.length > 0),
  );
  const everyone = [...steps.values()].flat();
  if (everyone.length === 0) return null;
  const found = { from, to };
  const against = [...steps].flatMap(([position, own]) => {
    const rest = [...steps].filter(([other]) => other !== position).flatMap(([, other]) => other);
    if (rest.length === 0 || Math.abs(mean(rest)) < LEAST_CHANGE || mean(own) * mean(rest) >= 0) return [];
    if (apart(own, rest, 1) * looks * steps.size > SIGNIFICANCE || apart(own, rest, -1) < FIT_SIGNIFICANCE) return [];
    return [{ position, percent: percent(mean(own)), others_percent: percent(mean(rest)) }];
  });
  // Of two positions that go opposite ways, the one that rings longer with more absorption is the odd one; without it, nobody knows.
  const odd = steps.size === 2 ? against.filter(({ percent: rise }) => absorbing && rise > 0) : against;
  if (odd.length === 1) {
    const { position, ...rest } = odd[0]!;
    return { ...found, positions: [position], all: false, ...rest };
  }
  const rise = mean(everyone);
  const longer = absorbing && rise >= LEAST_CHANGE && apart(everyone, [], 1) * looks < SIGNIFICANCE;
  if (!longer || against.length > 0) return null;
  return { ...found, positions: [...steps.keys()], all: true, percent: percent(rise), others_percent: null };
}

/** Probability by chance that the changes differ from `sign` times those of the others, band by band; of no others, from none at all. */
function apart(own: readonly Step[], others: readonly Step[], sign: 1 | -1): number {
  const terms = own.flatMap(({ centre_hz, change, variance }) => {
    const there = others.filter((other) => other.centre_hz === centre_hz);
    if (others.length > 0 && there.length === 0) return [];
    const reference = there.length === 0 ? 0 : mean(there);
    const doubt = there.reduce((sum, other) => sum + other.variance, 0) / Math.max(1, there.length) ** 2;
    return [(change - sign * reference) ** 2 / (OVERDISPERSION ** 2 * (variance + doubt))];
  });
  if (terms.length === 0) return 1;
  const f = terms.reduce((sum, term) => sum + term, 0) / terms.length;
  return upperProbability(f, { over: terms.length, under: USUAL_DOF });
}

function stepsAt(
  readings: readonly ReadingAt[],
  { from, to, position }: { from: string; to: string; position: string },
): Step[] {
  const bands = (stage: string, centre_hz: number) =>
    readings
      .filter((reading) => reading.stage === stage && reading.position === position)
      .flatMap((reading) => reading.bands.filter((band) => band.width === 'octave' && band.centre_hz === centre_hz));
  return [...BANDS_HZ].flatMap((centre_hz): Step[] => {
    const [before, after] = [decayOf(bands(from, centre_hz)), decayOf(bands(to, centre_hz))];
    if (before === null || after === null) return [];
    return [{ centre_hz, change: after.log - before.log, variance: before.variance + after.variance }];
  });
}

/** Mean logarithm of the decay times of one place, and the least variance over places: repeats at one place share it. */
function decayOf(bands: readonly BandReading[]): { log: number; variance: number } | null {
  for (const quantity of ['tfull_s', 't20_s'] as const) {
    const read = bands.flatMap((band) => {
      const value = band[quantity];
      const variance = floorVariance(quantity, band);
      return value === null || variance === null ? [] : [{ log: Math.log(value), variance }];
    });
    if (read.length === 0) continue;
    const average = (of: (one: { log: number; variance: number }) => number) =>
      read.reduce((sum, one) => sum + of(one), 0) / read.length;
    return { log: average(({ log }) => log), variance: average(({ variance }) => variance) };
  }
  return null;
}

function mean(steps: readonly Step[]): number {
  return steps.reduce((sum, { change }) => sum + change, 0) / steps.length;
}

function percent(log: number): number {
  return 100 * (Math.exp(log) - 1);
}
