import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { create, type Font } from 'fontkit';
import { expect, it } from 'vitest';
import { resource } from '../../pipeline/resources.ts';

const require = createRequire(import.meta.url);
const WEIGHTS = [400, 600];
/** In the order in which a letter that several hold is looked for. */
const SETS = ['latin', 'latin-ext', 'greek', 'cyrillic'];

function fontsOf(weight: number): Font[] {
  return SETS.map((set) => {
    const file = `@fontsource/source-sans-3/files/source-sans-3-${set}-${weight}-normal.woff2`;
    return create(readFileSync(require.resolve(file))) as Font;
  });
}

const fontWith = (sets: readonly Font[], code: number) => sets.find((font) => font.hasGlyphForCodePoint(code));

// `npm run widths` writes the table anew.
it('the widths that charts are set by are those of the embedded fonts', async () => {
  const fonts = WEIGHTS.map(fontsOf);
  expect(new Set(fonts.flat().map(({ unitsPerEm }) => unitsPerEm))).toEqual(new Set([1000]));
  // The fonts list a code point more than they have shapes for.
  const held = fonts.map((sets) => {
    const listed = new Set(sets.flatMap(({ characterSet }) => characterSet));
    return [...listed].filter((code) => fontWith(sets, code) !== undefined).sort((a, b) => a - b);
  });
  expect(held[0]!.length).toBeGreaterThan(900);
  expect(held[1]).toEqual(held[0]);
  const rows = held[0]!.map((code) => {
    return [code, ...fonts.map((sets) => fontWith(sets, code)!.glyphForCodePoint(code).advanceWidth)].join(',');
  });
  const table = `${[['code_point', ...WEIGHTS].join(','), ...rows].join('\n')}\n`;
  await expect(table).toMatchFileSnapshot(join(resource(), 'letter-widths.csv'));
});
