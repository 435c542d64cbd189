import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  bindUnits,
  formatEstimate,
  formatMoney,
  formatNumber,
  formatSigned,
  formatSignificant,
  intervalPlaces,
  roundTo,
  uncertaintyPlaces,
  withUnit,
} from '../../src/report/format.ts';

const LOCALE = 'en-GB';
const read = (text: string) => Number(text.replaceAll(',', '').replace('−', '-'));

describe('formatEstimate(estimate, locale)', () => {
  it('rounds as JCGM 100:2008, 7.2.6, does its example: 10.057 62 ohm with 27 milliohm is 10.058 ohm', () => {
    // The example of clause 7.2.6 (from memory): y = 10,057 62 ohm, u_c = 27 milliohm: y rounded to 10,058 ohm.
    expect(formatEstimate({ value: 10.05762, expanded: 0.027 }, LOCALE)).toEqual({
      value: '10.058',
      expanded: '0.027',
    });
  });

  it('writes 0.3314 with 0.0172 as 0.331 and 0.017', () => {
    expect(formatEstimate({ value: 0.3314, expanded: 0.0172 }, LOCALE)).toEqual({ value: '0.331', expanded: '0.017' });
  });

  it('keeps the zero that says the place is known', () => {
    expect(formatEstimate({ value: 0.3, expanded: 0.0099 }, LOCALE)).toEqual({ value: '0.3000', expanded: '0.0099' });
    expect(formatEstimate({ value: 0.3, expanded: 0.00999 }, LOCALE)).toEqual({ value: '0.300', expanded: '0.010' });
  });

  it('stops at the most places asked for, yet always shows one digit of the uncertainty', () => {
    const estimate = { value: 0.39431, expanded: 0.0077, most_places: 3 };
    expect(formatEstimate(estimate, LOCALE)).toEqual({ value: '0.394', expanded: '0.008' });
    expect(formatEstimate({ ...estimate, expanded: 0.0003 }, LOCALE)).toEqual({ value: '0.3943', expanded: '0.0003' });
  });

  it('gives value and uncertainty to one place, the uncertainty to no more than two significant digits', () => {
    const values = fc.double({ min: -1000, max: 1000, noNaN: true });
    const uncertainties = fc.double({ min: 0.0001, max: 0.99, noNaN: true });
    fc.assert(
      fc.property(values, uncertainties, (value, expanded) => {
        const text = formatEstimate({ value, expanded }, LOCALE);
        const decimals = (it: string) => it.split('.')[1]?.length ?? 0;
        expect(decimals(text.value)).toBe(decimals(text.expanded!));
        expect(text.expanded!.replace(/^0\.0*/, '').length).toBeLessThanOrEqual(2);
        expect(Math.abs(read(text.expanded!) - expanded)).toBeLessThanOrEqual(0.051 * expanded + 1e-12);
        expect(Math.abs(read(text.value) - value)).toBeLessThanOrEqual(0.5 * 10 ** -decimals(text.value) * (1 + 1e-9));
      }),
    );
  });
});

describe('uncertaintyPlaces(uncertainty)', () => {
  it.each([
    [0.017, 3],
    [0.034, 2],
    [0.086, 2],
    [1.3, 1],
    [7.5, 0],
    [12, 0],
    [34, 0],
    [340, -1],
  ])('%f is written to %i places', (uncertainty, places) => {
    expect(uncertaintyPlaces(uncertainty)).toBe(places);
  });
});

describe('intervalPlaces(interval)', () => {
  it('never writes as zero an end of an interval that lies clear of zero', () => {
    const ends = fc.tuple(
      fc.double({ min: 1e-5, max: 100, noNaN: true }),
      fc.double({ min: 1e-5, max: 100, noNaN: true }),
    );
    fc.assert(
      fc.property(ends, fc.boolean(), ([near, width], negative) => {
        const [low, high] = negative ? [-near - width, -near] : [near, near + width];
        const places = intervalPlaces({ low, high });
        const sign = negative ? /^−/ : /^\+/;
        expect(formatSigned(low, places, LOCALE)).toMatch(sign);
        expect(formatSigned(high, places, LOCALE)).toMatch(sign);
      }),
    );
  });

  it('adds no digits for an end that merely happens to lie near zero', () => {
    expect(intervalPlaces({ low: -10.473, high: 0.001 })).toBe(0);
  });
});

describe('formatNumber(value, places, locale)', () => {
  it('writes a true minus sign, and none on a zero', () => {
    expect(formatNumber(-3.24, 1, LOCALE)).toBe('−3.2');
    expect(formatNumber(-0.04, 1, LOCALE)).toBe('0.0');
  });

  it('rounds half away from zero on both sides', () => {
    expect([formatNumber(2.5, 0, LOCALE), formatNumber(-2.5, 0, LOCALE)]).toEqual(['3', '−3']);
    expect(formatNumber(1.005, 2, LOCALE)).toBe('1.01');
  });

  it('follows the language', () => {
    expect(formatNumber(1234.5, 1, 'de-DE')).toBe('1.234,5');
  });

  it('rounds to tens where places are negative', () => {
    expect(formatNumber(347, -1, LOCALE)).toBe('350');
    expect(roundTo(-347, -1)).toBe(-350);
  });
});

describe('formatSigned(value, places, locale)', () => {
  it.each([
    [3.2, '+3'],
    [-3.2, '−3'],
    [0.2, '0'],
  ])('%f becomes %s', (value, text) => {
    expect(formatSigned(value, 0, LOCALE)).toBe(text);
  });
});

describe('the rest of the writing', () => {
  it('binds number and unit with a space that does not break', () => {
    expect(withUnit('0.33', 's')).toBe('0.33\u00a0s');
    expect(withUnit('36', '%')).toBe('36\u202f%');
    expect(bindUnits('95 % of 10 dB in 50 ms at 2 places')).toBe('95\u202f% of 10\u00a0dB in 50\u00a0ms at 2 places');
  });

  it('writes significant digits without a power of ten', () => {
    expect([0.00123, 0.0996, 12.34, 0].map((value) => formatSignificant(value, 2, LOCALE))).toEqual([
      '0.0012',
      '0.10',
      '12',
      '0',
    ]);
  });

  it('writes money with its code, and no currency where none is stated', () => {
    expect(formatMoney(1130, 'EUR', LOCALE)).toBe('EUR\u00a01,130');
    expect(formatMoney(9.5, undefined, LOCALE)).toBe('9.50');
  });
});
