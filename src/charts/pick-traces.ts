import { compareNatural } from '../project/natural-order.ts';
import type { ResponseTrace, TakeResult } from '../report/results.ts';
import type { BandReading, Reflection } from '../room/reading.ts';

/** Onsets nearer than this are of one response: results are rounded, and no two responses of a take lie so close. */
const SAME_S = 0.001;

/** One response of a stage, picked to stand for it in a picture. */
export interface PickedTrace {
  trace: ResponseTrace;
  bands: readonly BandReading[];
  reflections: readonly Reflection[];
}

/** Two responses at one position, before and after. */
export interface TracePair {
  position: string;
  from: PickedTrace;
  to: PickedTrace;
}

/** The band whose level range decides which response is shown: every source excites it, every rate holds it. */
const JUDGED_HZ = 1000;

/**
 * A used response of either stage at the first position that both share, each the one with the widest level range at 1 kHz, so
 * that the picture is of the clearest recordings; null where the stages share no position with usable responses.
 */
export function pickTraces(input: {
  takes: readonly TakeResult[];
  traces: readonly ResponseTrace[];
  from: string;
  to: string;
}): TracePair | null {
  const positions = [...new Set(input.traces.map((trace) => trace.position))].sort(compareNatural);
  for (const position of positions) {
    const from = clearest(input, { stage: input.from, position });
    const to = clearest(input, { stage: input.to, position });
    if (from && to) return { position, from, to };
  }
  return null;
}

function clearest(
  input: { takes: readonly TakeResult[]; traces: readonly ResponseTrace[] },
  place: { stage: string; position: string },
): PickedTrace | null {
  let best: (PickedTrace & { range_db: number }) | null = null;
  for (const take of input.takes) {
    if (!take.used || take.stage !== place.stage || take.position !== place.position) continue;
    for (const response of take.responses) {
      if (!response.used) continue;
      const trace = input.traces.find(
        (it) => it.file === take.file && Math.abs(it.onset_s - response.onset_s) < SAME_S,
      );
      if (!trace) continue;
      const band = response.bands.find((it) => it.width === 'octave' && it.centre_hz === JUDGED_HZ);
      const range_db = band?.range_db ?? Number.NEGATIVE_INFINITY;
      if (!best || range_db > best.range_db) {
        best = { trace, bands: response.bands, reflections: response.reflections, range_db };
      }
    }
  }
  return best;
}
