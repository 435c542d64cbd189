import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { FACES, firstReflections, matchReflections } from '../../src/room/image-sources.ts';

const box = { length_m: 5, width_m: 4, height_m: 2.6 };
const geometry = { box, source: [1, 2, 1.2], microphone: [3, 2, 1.2], speed_m_s: 343 } as const;

describe('first reflections of a box', () => {
  test('follow Pythagoras', () => {
    // 2 m apart, both 1.2 m up: over the floor the path is the root of 2^2 + 2.4^2.
    const reflections = firstReflections(geometry)!;
    const floor = reflections.find(({ face }) => face === 'floor')!;
    expect(floor.extra_path_m).toBeCloseTo(Math.sqrt(4 + 2.4 ** 2) - 2, 12);
    expect(floor.delay_s).toBeCloseTo(floor.extra_path_m / 343, 12);
    expect(floor.point_m[0]).toBeCloseTo(2, 12);
    expect(floor.point_m[2]).toBe(0);
    // Behind the source the sound goes 1 m back and 3 m forth: 4 m, 6.02 dB under the direct 2 m.
    const behind = reflections.find(({ face }) => face === 'length-0')!;
    expect(behind.extra_path_m).toBeCloseTo(2, 12);
    expect(behind.hard_level_db).toBeCloseTo(-6.0206, 4);
  });

  const inside = (edge_m: number) => fc.double({ min: 0.05, max: edge_m - 0.05, noNaN: true });
  const anywhere = fc.tuple(inside(5), inside(4), inside(2.6));
  test('reach the microphone by way of the point named, angle in equal to angle out', () => {
    fc.assert(
      fc.property(anywhere, anywhere, (source, microphone) => {
        fc.pre(Math.hypot(...source.map((value, axis) => value - microphone[axis]!)) > 0.1);
        const found = firstReflections({ box, source, microphone, speed_m_s: 343 })!;
        expect(found.map(({ face }) => face).toSorted()).toEqual([...FACES].toSorted());
        const far = (a: readonly number[], b: readonly number[]) =>
          Math.hypot(...a.map((value, axis) => value - b[axis]!));
        expect(found.map(({ delay_s }) => delay_s)).toEqual(
          found.map(({ delay_s }) => delay_s).toSorted((a, b) => a - b),
        );
        for (const { face, point_m, extra_path_m } of found) {
          const axis = Math.floor(FACES.indexOf(face) / 2);
          expect(point_m[axis]).toBe(face.endsWith('0') || face === 'floor' ? 0 : [5, 4, 2.6][axis]);
          const path_m = far(source, point_m) + far(point_m, microphone);
          expect(path_m - far(source, microphone)).toBeCloseTo(extra_path_m, 9);
          expect(extra_path_m).toBeGreaterThan(0);
        }
      }),
    );
  });

  test('a point outside the room, or source and microphone in one place, gives nothing', () => {
    expect(firstReflections({ ...geometry, source: [6, 2, 1.2] })).toBeNull();
    expect(firstReflections({ ...geometry, microphone: [3, -0.1, 1.2] })).toBeNull();
    const measured = [{ delay_s: 0.002, extra_path_m: 0.7, level_db: -5 }];
    const [outside] = matchReflections(measured, { ...geometry, source: [6, 2, 1.2] });
    expect(outside!.candidates).toEqual([]);
    expect(firstReflections({ ...geometry, microphone: geometry.source })).toBeNull();
  });
});

test('a source and a microphone on the floor: it turns there, between them, as late as the direct sound', () => {
  const found = firstReflections({ ...geometry, source: [1, 2, 0], microphone: [3, 2, 0] })!;
  expect(found[0]).toMatchObject({ face: 'floor', delay_s: 0, point_m: [2, 2, 0], hard_level_db: 0 });
  const corner = firstReflections({ ...geometry, source: [0, 0, 0], microphone: [5, 4, 2.6] })!;
  expect(corner).toHaveLength(6);
});

describe('matching', () => {
  test('names the face, and every face that fits as well', () => {
    const expected = firstReflections(geometry)!;
    const floor = expected.find(({ face }) => face === 'floor')!;
    const measured = [
      { delay_s: floor.delay_s + 0.0002, extra_path_m: floor.extra_path_m, level_db: -5 },
      { delay_s: 0.03, extra_path_m: 10.3, level_db: -15 },
    ];
    const [first, second] = matchReflections(measured, geometry);
    // The ceiling is 1.4 m above, the floor 1.2 m below: 0.32 m apart in path.
    expect(first!.candidates[0]!.face).toBe('floor');
    const [wide] = matchReflections(measured, geometry, 10);
    const misfits_m = wide!.candidates.map(({ misfit_m }) => misfit_m);
    expect(misfits_m).toHaveLength(6);
    expect(misfits_m).toEqual(misfits_m.toSorted((a, b) => a - b));
    expect(second!.candidates).toEqual([]);
    // Both side walls are 2 m off: a recording cannot tell them apart.
    const side = expected.find(({ face }) => face === 'width-0')!;
    const [both] = matchReflections([{ ...measured[0]!, delay_s: side.delay_s }], geometry);
    expect(both!.candidates.map(({ face }) => face).toSorted()).toEqual(
      expect.arrayContaining(['width-0', 'width-end']),
    );
  });
});
