import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { levelValues } from '../../src/report/level-phrases.ts';
import { ENGLISH } from './build-fixture.ts';
import { plainText } from './document-text.ts';

const said = (level_db: number) => plainText(ENGLISH.say('clarity.in-words', levelValues(level_db, 'en-GB')));
/** Spaces that do not break, as plain ones. */
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');

/** Decibels in words: common practice, no source. The loudness rule is the sone scale (Stevens, 1936): half for each 10 dB. */
describe('a level in words', () => {
  test('−16 to −24 dB is 8 dB: amplitude 0.40, 60 % less; energy 0.16, 84 % less; about 43 % quieter', () => {
    expect(plain(said(-24 - -16))).toBe(
      'In words, at 1000 Hz: the late sound fell by 8.0 dB. Its amplitude is 0.40 of what it was, 60 % less; its energy 0.16, 84 % less. ' +
        'To the ear that is roughly 43 % quieter, by the rule that 10 dB is about half or twice as loud.',
    );
  });

  test('6 dB less is half the amplitude, 3 dB less half the energy, 10 dB less half as loud', () => {
    expect(levelValues(-6.0206, 'en-GB')).toMatchObject({ amplitude: '0.50', amplitude_percent: '50\u202f%' });
    expect(levelValues(-3.0103, 'en-GB')).toMatchObject({ energy: '0.50', energy_percent: '50\u202f%' });
    expect(levelValues(-10, 'en-GB')).toMatchObject({ loudness_percent: '50\u202f%' });
  });

  test('a rise is more and louder, a fall less and quieter, at every level', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.1, max: 30, noNaN: true }), (level_db) => {
        expect(said(level_db)).toMatch(/rose by .* more; .* more\. .* louder/);
        expect(said(-level_db)).toMatch(/fell by .* less; .* less\. .* quieter/);
        expect(said(-level_db)).not.toMatch(/more|louder/);
      }),
      { numRuns: 60 },
    );
  });

  test('energy always changes by more than amplitude, and no fall passes 100 %', () => {
    fc.assert(
      fc.property(fc.double({ min: -40, max: -0.5, noNaN: true }), (level_db) => {
        const { amplitude_percent, energy_percent } = levelValues(level_db, 'en-GB');
        const [amplitude, energy] = [amplitude_percent, energy_percent].map((text) => Number.parseFloat(String(text)));
        expect(energy!).toBeGreaterThanOrEqual(amplitude!);
        expect(energy!).toBeLessThanOrEqual(100);
      }),
      { numRuns: 60 },
    );
  });
});
