/** What a difference in level means, for sentences a layman reads. All take decibels and give a factor; 1 is no change. */

/** Factor in amplitude, or sound pressure: 10^(dB/20). Half is 6.02 dB. */
export function amplitudeFactor(level_db: number): number {
  return 10 ** (level_db / 20);
}

/** Factor in energy, or power: 10^(dB/10). Half is 3.01 dB. */
export function energyFactor(level_db: number): number {
  return 10 ** (level_db / 10);
}

/**
 * Rough factor in loudness: 2^(dB/10), twice as loud for each 10 dB (the sone of Stevens, 1936). A rule for steady sounds of
 * ordinary level; some put the step at 6 dB. Say "about".
 */
export function loudnessFactor(level_db: number): number {
  return 2 ** (level_db / 10);
}

/** Change in per cent that a factor stands for: 0.4 gives -60. */
export function percentChange(factor: number): number {
  return 100 * (factor - 1);
}
