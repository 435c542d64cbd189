import type { Change, Settling } from '../statistics/finding.ts';
import { bestDecayChange, OCTAVES_HZ } from './context.ts';

/** An octave band of a comparison in which something is still open, and what would settle it. */
export interface OpenBand {
  centre_hz: number;
  settle: Settling;
}

/**
 * The octave bands in which it is open whether the decay changed at all, or whether one would hear it; by the most precise decay
 * time of each band. Empty where nothing is open or nothing could be measured.
 */
export function openBands(change: Change): OpenBand[] {
  return OCTAVES_HZ.flatMap((centre_hz) => {
    const settle = bestDecayChange(change, centre_hz)?.to_settle ?? null;
    return settle === null ? [] : [{ centre_hz, settle }];
  });
}

/** Open bands that ask the same question and want the same to settle it. */
export interface OpenGroup {
  bands_hz: number[];
  settle: Settling;
}

/** The open bands, those that want the same taken together, in the order of their lowest bands. */
export function openGroups(bands: readonly OpenBand[]): OpenGroup[] {
  const groups = new Map<string, OpenGroup>();
  for (const { centre_hz, settle } of bands) {
    const key = [settle.question, settle.more_positions, settle.more_responses_per_position].join();
    const group = groups.get(key) ?? { bands_hz: [], settle };
    group.bands_hz.push(centre_hz);
    groups.set(key, group);
  }
  return [...groups.values()];
}
