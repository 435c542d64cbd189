import { expect, test } from 'vitest';
import { duplicateTakes } from '../../src/project/duplicate-takes.ts';

test("duplicateTakes names, for each recording with the bytes of an earlier one, that one; unread ones are no one's twin", () => {
  const takes = [
    { file: '1.wav', sha256: 'a' },
    { file: '2.wav', sha256: 'b' },
    { file: '3.wav', sha256: 'a' },
    { file: '4.wav', sha256: null },
    { file: '5.wav', sha256: null },
    { file: '6.wav', sha256: 'a' },
  ];
  expect([...duplicateTakes(takes)]).toEqual([
    ['3.wav', '1.wav'],
    ['6.wav', '1.wav'],
  ]);
});
