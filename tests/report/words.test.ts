import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { create, type Font } from 'fontkit';
import { describe, expect, it } from 'vitest';
import { createWords } from '../../src/report/words.ts';
import { ENGLISH_TREE } from './build-fixture.ts';

describe('createWords(locale, tree)', () => {
  const words = createWords('en-GB', {
    greeting: {
      plain: 'Hello {name}',
      rich: '<b>{name}</b>, see <ref>method</ref>',
      count: '{n, plural, one {# take} other {# takes}}',
    },
  });

  it('puts in what a user typed as it is, markup and braces included', () => {
    const name = '<b>{x}</b> <ref>y</ref> & ’quoted’';
    expect(words.plain('greeting.plain', { name })).toBe(`Hello ${name}`);
    expect(words.say('greeting.rich', { name })[0]).toEqual({ kind: 'strong', text: [name] });
  });

  it('keeps emphasis and cross references as data', () => {
    expect(words.say('greeting.rich', { name: 'Ida' })).toEqual([
      { kind: 'strong', text: ['Ida'] },
      ', see ',
      { kind: 'reference', to: 'method', label: '' },
    ]);
  });

  it('counts as the language does', () => {
    expect([1, 2].map((n) => words.plain('greeting.count', { n }))).toEqual(['1 take', '2 takes']);
  });

  it('throws where there is no such message, or the message is not plain', () => {
    expect(() => words.say('greeting.missing')).toThrow('no words for "greeting.missing"');
    expect(() => words.plain('greeting.rich', { name: 'Ida' })).toThrow('not plain');
  });
});

describe('the English catalogue', () => {
  it('uses only letters that the embedded fonts hold in their Latin part', () => {
    const fonts = ['source-sans-3', 'source-serif-4'].map((name) => {
      const file = `@fontsource/${name}/files/${name}-latin-400-normal.woff2`;
      return create(readFileSync(createRequire(import.meta.url).resolve(file))) as Font;
    });
    const letters = [...new Set(JSON.stringify(ENGLISH_TREE))];
    const missing = letters.filter(
      (letter) => !fonts.every((font) => font.hasGlyphForCodePoint(letter.codePointAt(0)!)),
    );
    expect(missing).toEqual([]);
    expect(letters.length).toBeGreaterThan(70);
  });
});
