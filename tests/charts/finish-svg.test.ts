import { describe, expect, it } from 'vitest';
import { finishSvg } from '../../src/charts/finish-svg.ts';

const chart = { id: 'c', title: 'T', alt: 'A' };
const finish = (inner: string) =>
  finishSvg(`<svg width="10" height="10" viewBox="0 0 10 10">${inner}</svg>`, chart).replace(
    /^.*<\/desc>|<\/svg>$/g,
    '',
  );

describe('finishSvg', () => {
  it('rounds coordinates to a hundredth', () => {
    expect(finish('<path d="M1.23456,-0.0001L1e-7,100.999"/>')).toBe('<path d="M1.23,0L0,101"/>');
  });
  it('leaves text alone, whatever it looks like', () => {
    expect(finish('<text x="1.239"> d="1.23456" url(#a) id="b"</text>')).toBe(
      '<text x="1.24"> d="1.23456" url(#a) id="b"</text>',
    );
  });
  it('puts the id of the chart before every id and every reference', () => {
    expect(finish('<clipPath id="clip0"/><g clip-path="url(#clip0)"/>')).toBe(
      '<clipPath id="c-clip0"/><g clip-path="url(#c-clip0)"/>',
    );
  });
  it('leaves one picture: no part has a role, and what a mark says of itself is kept for the page, as it is', () => {
    expect(finish('<g role="graphics-object" aria-roledescription="group mark container"></g>')).toBe('<g></g>');
    const said = 'A &lt;b&gt;, 1 kHz: x=&quot;1.239&quot; url(#a)';
    expect(
      finish(`<path aria-label="${said}" role="graphics-symbol" aria-roledescription="point" d="M1.239,0"/>`),
    ).toBe(`<path d="M1.24,0" data-tip="${said}"/>`);
  });
  it('refuses a drawing without a viewBox, which could not scale', () => {
    expect(() => finishSvg('<svg width="10"></svg>', chart)).toThrow('chart c: the drawing has no viewBox');
  });
});
