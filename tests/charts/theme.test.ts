import { describe, expect, it } from 'vitest';
import {
  accentColour,
  INK,
  LABEL_PX,
  PAPER,
  panelWidth_px,
  SOFT_INK,
  stageLooks,
  TEXT_PX,
} from '../../src/charts/theme.ts';
import { contrastRatio } from '../../src/report/accent.ts';

const BRANDS = [null, '#2b4a66', '#f5c400', '#ffffff', '#000000', '#e4007c', '#00ff00'];
const contrasts = (count: number, brand: string | null) =>
  stageLooks(count, accentColour(brand)).map((look) => contrastRatio(look.colour, PAPER));

describe('stageLooks', () => {
  it.each(BRANDS)('runs from pale to dark, so that the order survives a black-and-white printer: brand %s', (brand) => {
    for (const count of [2, 3, 5, 12]) {
      const steps = contrasts(count, brand);
      for (let index = 1; index < count; index++) expect(steps[index]!).toBeGreaterThan(steps[index - 1]!);
    }
  });

  it.each(BRANDS)('keeps every stage 3 to 1 from paper (WCAG 2.2, 1.4.11): brand %s', (brand) => {
    for (const count of [1, 2, 5, 12])
      for (const contrast of contrasts(count, brand)) expect(contrast).toBeGreaterThanOrEqual(3);
  });

  it('gives each of up to five stages a shape and a dash of its own, so that no one needs the hue', () => {
    for (const count of [2, 3, 4, 5]) {
      const looks = stageLooks(count, '#2b4a66');
      expect(new Set(looks.map((look) => look.shape)).size).toBe(count);
      expect(new Set(looks.map((look) => String(look.dash))).size).toBe(count);
    }
  });

  it('draws the first stage hollow and the last solid, filled and unbroken', () => {
    const looks = stageLooks(3, '#2b4a66');
    expect(looks[0]!.fill).toBe(PAPER);
    expect(looks[2]).toMatchObject({ fill: '#2b4a66', colour: '#2b4a66', dash: [1, 0] });
  });

  it('draws a stage that stands alone in the accent', () => {
    expect(stageLooks(1, '#2b4a66')).toEqual([{ colour: '#2b4a66', fill: '#2b4a66', shape: 'circle', dash: [1, 0] }]);
  });
});

describe('accentColour', () => {
  it.each(BRANDS)('reads on white by 7 to 1 whatever the brand: %s', (brand) => {
    expect(contrastRatio(accentColour(brand), PAPER)).toBeGreaterThanOrEqual(7);
  });
  it('leaves a brand that is dark enough as it is', () => expect(accentColour('#2b4a66')).toBe('#2b4a66'));
});

describe('the theme', () => {
  it('writes in inks that read on paper (WCAG 2.2, 1.4.3: 4.5 to 1)', () => {
    for (const ink of [INK, SOFT_INK]) expect(contrastRatio(ink, PAPER)).toBeGreaterThanOrEqual(4.5);
  });
  it('sets no text under 9 CSS pixels when a chart is printed 160 mm wide', () => {
    const scale = ((160 / 25.4) * 96) / 560;
    expect(Math.min(TEXT_PX, LABEL_PX) * scale).toBeGreaterThanOrEqual(9);
  });
  it('fits its panels into the column', () => {
    expect(4 * panelWidth_px(4) + 3 * 16).toBeLessThanOrEqual(panelWidth_px(1));
  });
});
