import { describe, expect, it } from 'vitest';
import { orientationOf, turned } from '../../src/report/orientation.ts';

/** A picture of two rows, 1 2 3 over 4 5 6, as one byte a pixel. */
const GIVEN = [
  [1, 2, 3],
  [4, 5, 6],
];

function rows(orientation: number): number[][] {
  const data = new Uint8Array(GIVEN.flat().flatMap((value) => [value, 0, 0, 255]));
  const out = turned({ width: 3, height: 2, data }, orientation);
  return Array.from({ length: out.height }, (_, y) =>
    Array.from({ length: out.width }, (_, x) => out.data[4 * (y * out.width + x)]!),
  );
}

describe('turned(pixels, orientation)', () => {
  // Exif 2.32, 4.6.4, tag Orientation: which edge of what is seen row 0 and column 0 of the file are.
  it.each([
    [1, 'row 0 top, column 0 left', GIVEN],
    [
      2,
      'top, right',
      [
        [3, 2, 1],
        [6, 5, 4],
      ],
    ],
    [
      3,
      'bottom, right',
      [
        [6, 5, 4],
        [3, 2, 1],
      ],
    ],
    [
      4,
      'bottom, left',
      [
        [4, 5, 6],
        [1, 2, 3],
      ],
    ],
    [
      5,
      'left, top',
      [
        [1, 4],
        [2, 5],
        [3, 6],
      ],
    ],
    [
      6,
      'right, top',
      [
        [4, 1],
        [5, 2],
        [6, 3],
      ],
    ],
    [
      7,
      'right, bottom',
      [
        [6, 3],
        [5, 2],
        [4, 1],
      ],
    ],
    [
      8,
      'left, bottom',
      [
        [3, 6],
        [2, 5],
        [1, 4],
      ],
    ],
  ])('%i: %s', (orientation, _, expected) => {
    expect(rows(orientation)).toEqual(expected);
  });
});

describe('orientationOf(bytes)', () => {
  it('is 1 for what is no JPEG, is cut off, or says nothing', () => {
    for (const bytes of [
      [],
      [0x89, 0x50],
      [0xff, 0xd8],
      [0xff, 0xd8, 0xff, 0xe1, 0xff, 0xff, 1],
      [0xff, 0xd8, 0xff, 0xda, 0, 2],
    ]) {
      expect(orientationOf(Uint8Array.from(bytes))).toBe(1);
    }
  });
});
