import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { changeClaim, headlineClaim } from '../../src/report/claim.ts';
import { targetStanding } from '../../src/report/standing.ts';
import type { Verdict } from '../../src/statistics/finding.ts';

const verdicts = fc.constantFrom<Verdict>('reduced', 'increased', 'no-detectable-change', 'not-measurable');
const numbers = fc.option(fc.double({ min: -100, max: 100, noNaN: true }));

describe('changeClaim and headlineClaim', () => {
  it('claim a change only with the verdict and the whole interval behind it', () => {
    fc.assert(
      fc.property(verdicts, numbers, numbers, (verdict, low, high) => {
        const claims = [
          changeClaim({ verdict, low, high }),
          headlineClaim({ verdict, percent_low: low, percent_high: high }),
        ];
        for (const claim of claims) {
          if (claim === 'reduced') expect([verdict, high !== null && high < 0]).toEqual(['reduced', true]);
          if (claim === 'increased') expect([verdict, low !== null && low > 0]).toEqual(['increased', true]);
          if (low === null || high === null) expect(claim).toBe('open');
        }
      }),
    );
  });

  it('tell an interval that holds zero from a change the correction took back', () => {
    expect(changeClaim({ verdict: 'no-detectable-change', low: -2, high: 1 })).toBe('none');
    expect(changeClaim({ verdict: 'no-detectable-change', low: -3, high: -1 })).toBe('corrected');
  });
});

describe('targetStanding(estimate, band)', () => {
  const band = { low_s: 0.2, high_s: 0.3 };
  it.each([
    [0.25, 0.02, 'within'],
    [0.25, 0.06, 'unclear'],
    [0.31, 0.005, 'above'],
    [0.31, 0.02, 'unclear'],
    [0.18, 0.01, 'below'],
  ])('%f s give or take %f s is %s', (value, expanded_uncertainty, standing) => {
    expect(targetStanding({ value, expanded_uncertainty }, band)).toBe(standing);
  });

  it('is unmeasured without a value or without its uncertainty', () => {
    expect(targetStanding({ value: null, expanded_uncertainty: null }, band)).toBe('unmeasured');
    expect(targetStanding({ value: 0.25, expanded_uncertainty: null }, band)).toBe('unmeasured');
  });
});
