import fc from 'fast-check';
import picomatch from 'picomatch/posix.js';
import { describe, expect, test } from 'vitest';
import { isPattern, matchPattern } from '../../src/project/match-pattern.ts';

const fits = (pattern: string, path: string): boolean => matchPattern(pattern)(path);

describe('matchPattern', () => {
  test.each([
    ['a/*.wav', 'a/1.wav'],
    ['a/*.wav', 'a/x.y.wav'],
    ['*', 'a'],
    ['?.wav', 'é.wav'],
    ['**/*.wav', '1.wav'],
    ['**/*.wav', 'a/b/c/1.wav'],
    ['a/**', 'a/b/c'],
    ['a/**/**/b', 'a/x/y/b'],
    ['a/**/b', 'a/b'],
    ['{A,B}/{1,2}.wav', 'B/1.wav'],
    ['*a*b*c', 'xaxbxaxbxc'],
    ['.x/*', '.x/1'],
  ])('%s fits %s', (pattern, path) => {
    expect(fits(pattern, path)).toBe(true);
  });

  test.each([
    ['a/*.wav', 'a/b/1.wav'],
    ['*.wav', '1.WAV'],
    ['?.wav', '.wav'],
    ['*', '.hidden'],
    ['**/1.wav', '.hidden/1.wav'],
    ['a', 'a/b'],
    ['a/b', 'a'],
    ['a/**', 'a'],
    ['*/**', 'a'],
    ['*a*b', 'ba'],
    ['{A,B}.wav', 'C.wav'],
    ['[ab].wav', 'a.wav'],
  ])('%s does not fit %s', (pattern, path) => {
    expect(fits(pattern, path)).toBe(false);
  });

  test('ignores capitals where told to', () => {
    expect(matchPattern('A/*.wav', { anyCase: true })('a/1.WAV')).toBe(true);
  });

  test('takes a brace without a partner, and braces beyond count, as they stand', () => {
    expect(fits('{a', '{a')).toBe(true);
    const many = '{a,b}'.repeat(20);
    expect(fits(many, many)).toBe(true);
  });

  // picomatch 4.0: the same answer for stars, question marks and folders, on names without a dot in front.
  test('agrees with a widely used library of patterns', () => {
    const part = fc.oneof(
      fc.constant('**'),
      fc.string({ unit: fc.constantFrom('a', 'b', '*', '?'), minLength: 1, maxLength: 5 }),
    );
    const pattern = fc.array(part, { minLength: 1, maxLength: 4 }).map((parts) => parts.join('/'));
    // Of `a**` within a name, and of `**` at the end, libraries hold different views.
    const plain = pattern.filter(
      (text) => !text.endsWith('**') && text.split('/').every((name) => name === '**' || !name.includes('**')),
    );
    const name = fc.string({ unit: fc.constantFrom('a', 'b'), minLength: 1, maxLength: 5 });
    const path = fc.array(name, { minLength: 1, maxLength: 4 }).map((names) => names.join('/'));
    fc.assert(
      fc.property(plain, path, (one, other) => {
        expect(fits(one, other)).toBe(picomatch(one)(other));
      }),
      { numRuns: 3000, seed: 1 },
    );
  });

  test('is done in a moment with patterns on which regular expressions run for years', () => {
    const name = `${'a'.repeat(250)}.wav`;
    const started = performance.now();
    for (const pattern of ['*a'.repeat(60), `${'**/'.repeat(50)}b`, '(a+)+b', '{a,aa}'.repeat(30)]) {
      expect(fits(`${pattern}b`, name)).toBe(false);
      expect(fits(`${pattern}b`, `${'a/'.repeat(100)}${name}`)).toBe(false);
    }
    expect(performance.now() - started).toBeLessThan(1000);
  });
});

test('isPattern tells a pattern from a name', () => {
  expect(['a*', 'a?', '{a,b}'].every(isPattern)).toBe(true);
  expect(isPattern('take[1] (2).wav')).toBe(false);
});
