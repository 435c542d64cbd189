import type { ModeDecay } from '../room/mode-decay.ts';
import { type Box, boxModes, type Mode, modeBandwidth_hz } from '../room/modes.ts';

/** A resonance that the responses of a stage agree on. */
export interface StageMode {
  frequency_hz: number;
  /** Median decay time, in seconds, and the shortest and longest read. */
  time_s: number;
  shortest_s: number;
  longest_s: number;
  /** Responses that show it. */
  responses: number;
  /** Mode of the empty box that lies nearest, within the width of the resonance; null where none does or the room is no box. */
  order: Mode['order'] | null;
}

/**
 * The resonances that the responses of one stage show, ascending: decays whose frequencies lie within half a width of one another count as
 * one. Where there are several responses, one that only a single response shows is left out.
 */
export function stageModes(
  responses: readonly (readonly ModeDecay[])[],
  place: { box: Box | null; speed_m_s: number },
): StageMode[] {
  const all = responses.flat().toSorted((a, b) => a.frequency_hz - b.frequency_hz);
  const groups: ModeDecay[][] = [];
  for (const mode of all) {
    const group = groups.at(-1);
    const first = group?.[0];
    const near = first && mode.frequency_hz - first.frequency_hz <= modeBandwidth_hz(first.time_s) / 2;
    if (near) group.push(mode);
    else groups.push([mode]);
  }
  return groups
    .filter((group) => group.length >= Math.min(2, responses.length))
    .map((group) => {
      const times_s = group.map(({ time_s }) => time_s).sort((a, b) => a - b);
      const frequency_hz = median(group.map((mode) => mode.frequency_hz));
      const time_s = median(times_s);
      return {
        frequency_hz,
        time_s,
        shortest_s: times_s[0]!,
        longest_s: times_s.at(-1)!,
        responses: group.length,
        order: nearestOrder(frequency_hz, { ...place, within_hz: modeBandwidth_hz(time_s) }),
      };
    });
}

function nearestOrder(
  frequency_hz: number,
  { box, speed_m_s, within_hz }: { box: Box | null; speed_m_s: number; within_hz: number },
): Mode['order'] | null {
  if (box === null) return null;
  const off = (mode: Mode) => Math.abs(mode.frequency_hz - frequency_hz);
  const nearest = boxModes(box, frequency_hz + within_hz, speed_m_s).toSorted((a, b) => off(a) - off(b))[0];
  return nearest && off(nearest) <= within_hz ? nearest.order : null;
}

function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
}
