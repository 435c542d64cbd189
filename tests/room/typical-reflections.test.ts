import { expect, test } from 'vitest';
import { typicalReflections } from '../../src/room/typical-reflections.ts';

const at = (delay_ms: number, level_db: number) => ({
  delay_s: delay_ms / 1000,
  extra_path_m: delay_ms * 0.343,
  level_db,
});

test('a reflection counts where more than half of the claps show it, with median delay and level', () => {
  const found = typicalReflections([[at(3.0, -6), at(9, -12)], [at(3.1, -8)], [at(3.2, -7), at(20, -18)]]);
  expect(found).toHaveLength(1);
  expect(found[0]!.delay_s).toBeCloseTo(0.0031, 9);
  expect(found[0]!.level_db).toBe(-7);
});

test('half of two claps is not more than half, and no clap shows nothing', () => {
  expect(typicalReflections([[at(3, -6)], [at(8, -6)]])).toEqual([]);
  expect(typicalReflections([])).toEqual([]);
});

test('of two values the median is their mean, of four that of the middle two', () => {
  const [two] = typicalReflections([[at(3, -6)], [at(3.2, -8)]]);
  expect(two!.delay_s).toBeCloseTo(0.0031, 12);
  expect(two!.extra_path_m).toBeCloseTo(3.1 * 0.343, 12);
  expect(two!.level_db).toBeCloseTo(-7, 12);
  const [four] = typicalReflections([[at(3, -1)], [at(3.1, -20)], [at(3.2, -5)], [at(3.3, -6)]]);
  expect(four!.level_db).toBeCloseTo(-5.5, 12);
});
