import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { accessibleAccent, contrastRatio, DEFAULT_ACCENT } from '../../src/report/accent.ts';

describe('contrastRatio(one, other)', () => {
  // #767676 is commonly named as the lightest grey that passes 4.5:1 on white, #777777 as the first that fails (from memory);
  // black on white is 21 by the definition in WCAG 2.2.
  it.each([
    ['#000000', 21, 21],
    ['#767676', 4.5, 4.55],
    ['#777777', 4.45, 4.5],
  ])('%s on white lies between %f and %f', (grey, low, high) => {
    const ratio = contrastRatio(grey, '#ffffff');
    expect(ratio).toBeGreaterThanOrEqual(low);
    expect(ratio).toBeLessThanOrEqual(high);
  });
});

describe('accessibleAccent(colour)', () => {
  it('stands out from white and from the dark screen by 4.5 to 1, whatever the brand', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 0xffffff }), (number) => {
        const { light, dark } = accessibleAccent(`#${number.toString(16).padStart(6, '0')}`);
        expect(contrastRatio(light, '#ffffff')).toBeGreaterThanOrEqual(4.5);
        expect(contrastRatio(dark, '#15191d')).toBeGreaterThanOrEqual(4.5);
      }),
    );
  });

  it('leaves a colour alone that stands out already', () => {
    expect(accessibleAccent(null).light).toBe(DEFAULT_ACCENT);
  });
});
