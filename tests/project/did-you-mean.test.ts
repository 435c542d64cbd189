import { describe, expect, test } from 'vitest';
import { didYouMean } from '../../src/project/did-you-mean.ts';

describe('didYouMean', () => {
  test.each([
    ['titel', ['title', 'date'], 'title'],
    ['curtain', ['bare', 'curtains'], 'curtains'],
    ['A', ['a', 'b'], 'a'],
    ['speech', ['speech-recording', 'mixing'], 'speech-recording'],
  ])('%s, of %j, is %s', (word, candidates, meant) => {
    expect(didYouMean(word, candidates)).toBe(meant);
  });

  test.each([
    ['zzz', ['title', 'date']],
    ['a', ['b', 'c']],
    ['m', ['mixing']],
    ['mic', ['microphone', 'microscope']],
    ['title', ['title']],
    ['x', []],
  ])('%s, of %j, is none', (word, candidates) => {
    expect(didYouMean(word, candidates)).toBeNull();
  });
});
