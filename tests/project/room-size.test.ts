import { describe, expect, test } from 'vitest';
import { roomBox_m, roomSurface_m2, roomVolume_m3 } from '../../src/project/room-size.ts';

describe('size of the room', () => {
  test('of a box follows from its sides: 5.2 x 3.6 x 2.6 m has 48.672 m3 and 83.2 m2', () => {
    const box = { length: 5.2, width: 3.6, height: 2.6 };
    expect(roomVolume_m3(box)).toBeCloseTo(48.672, 9);
    expect(roomSurface_m2(box)).toBeCloseTo(83.2, 9);
    expect(roomBox_m(box)).toEqual({ length_m: 5.2, width_m: 3.6, height_m: 2.6 });
  });

  test('is as stated where it is stated', () => {
    const room = { length: 5.2, width: 3.6, height: 2.6, volume: 45, surface_area: 90 };
    expect(roomVolume_m3(room)).toBe(45);
    expect(roomSurface_m2(room)).toBe(90);
  });

  test('is null where a side is missing', () => {
    expect(roomVolume_m3({ length: 5.2, width: 3.6 })).toBeNull();
    expect(roomSurface_m2({})).toBeNull();
    expect(roomBox_m({ volume: 45 })).toBeNull();
  });
});
