import { amplitudeFactor, energyFactor, loudnessFactor, percentChange } from '../room/level-words.ts';
import { formatNumber, withUnit } from './format.ts';
import type { WordValues } from './words.ts';

/**
 * What a difference in level means, as values for a sentence: the decibels, what is left of amplitude and energy as factors, each change in
 * whole per cent, and about how the loudness changes. A rise reads as a rise, a fall as a fall.
 */
export function levelValues(level_db: number, locale: string): WordValues {
  const percent = (factor: number) => withUnit(formatNumber(Math.abs(percentChange(factor)), 0, locale), '%');
  const factor = (value: number) => formatNumber(value, 2, locale);
  const [amplitude, energy, loudness] = [amplitudeFactor(level_db), energyFactor(level_db), loudnessFactor(level_db)];
  return {
    direction: level_db < 0 ? 'fell' : 'rose',
    level: withUnit(formatNumber(Math.abs(level_db), 1, locale), 'dB'),
    amplitude: factor(amplitude),
    amplitude_percent: percent(amplitude),
    energy: factor(energy),
    energy_percent: percent(energy),
    loudness_percent: percent(loudness),
  };
}
