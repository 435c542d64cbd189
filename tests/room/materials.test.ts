import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { sabineTime_s, totalAbsorption_m2 } from '../../src/room/absorption.ts';
import { absorptionAt, guardAbsorptionAt, readMaterials } from '../../src/room/materials.ts';
import { noiseReductionCoefficient } from '../../src/room/ratings.ts';

const materials = readMaterials(
  parse(readFileSync(new URL('../../templates/materials.yaml', import.meta.url), 'utf8')),
);
const row = (id: string) => materials.find((material) => material.id === id)!;

describe('the table of materials', () => {
  test('names a source for every row and holds no coefficient of nil, which in copied tables means not given', () => {
    expect(materials.length).toBeGreaterThanOrEqual(40);
    for (const { source, absorption } of materials) {
      expect(source.length).toBeGreaterThan(15);
      for (const alpha of Object.values(absorption)) expect(alpha).toBeGreaterThan(0);
    }
  });

  test('its gypsum board gives the decay Everest prints for his room of concrete and gypsum board', () => {
    // Master Handbook of Acoustics, 4th ed. (2001), chapter 7: 1159 ft2 of board and 373 ft2 of concrete in 3728 ft3: 0.54 s at 125 Hz,
    // 3.39 s at 1 kHz, with 0.049 V/A.
    const board = row('gypsum-on-studs');
    const time = (hz: number, concrete: number) => {
      const area_ft2 = totalAbsorption_m2([
        { area_m2: 1159, alpha: absorptionAt(board.absorption, hz)! },
        { area_m2: 373, alpha: concrete },
      ]);
      return sabineTime_s(area_ft2, { volume_m3: 3728, speed_m_s: 55.3 / 0.049 });
    };
    expect(Math.abs(time(125, 0.01) - 0.54)).toBeLessThan(0.01);
    expect(Math.abs(time(1000, 0.02) - 3.39)).toBeLessThan(0.01);
  });

  // Noise reduction coefficients by ASTM C423 of rows whose handbook table (27.1) prints one too.
  test.each([
    ['carpet-on-concrete', 0.3],
    ['carpet-on-felt', 0.55],
    ['medium-velour-draped', 0.55],
    ['heavy-velour-draped', 0.6],
    ['light-velour-flat', 0.15],
  ])('%s has the noise reduction coefficient its table prints', (id, expected) => {
    const { absorption } = row(id);
    const four = [250, 500, 1000, 2000].map((hz) => absorptionAt(absorption, hz)!);
    expect(noiseReductionCoefficient(four as [number, number, number, number])).toBe(expected);
  });

  test('what its source leaves blank is blank here', () => {
    expect(absorptionAt(row('mineral-wool-25-air').absorption, 250)).toBeNull();
    expect(absorptionAt(row('mineral-wool-25-air').absorption, 1000)).toBeNull();
    expect(materials.every(({ absorption }) => absorptionAt(absorption, 63) === null)).toBe(true);
  });

  test('thicker wool takes in more bass: 50 and 100 mm of 33 kg/m3', () => {
    expect(absorptionAt(row('rock-wool-33-100').absorption, 125)!).toBeGreaterThan(
      absorptionAt(row('rock-wool-33-50').absorption, 125)!,
    );
  });
});

test('a blank octave is guarded with the coefficient next to it', () => {
  expect(guardAbsorptionAt({ 125: 0.2, 500: 0.6 }, 63)).toBe(0.2);
  expect(guardAbsorptionAt({ 125: 0.2, 500: 0.6 }, 8000)).toBe(0.6);
  expect(guardAbsorptionAt(undefined, 500)).toBe(0);
});

test('a malformed table is refused, with the row', () => {
  const good = { id: 'felt', name: 'felt', use: 'absorber', absorption: { 500: 0.2 }, source: 'a published handbook' };
  const other = { ...good, id: 'thick-felt' };
  expect(readMaterials({ materials: [good, other] }).map(({ id }) => id)).toEqual(['felt', 'thick-felt']);
  expect(() => readMaterials({ materials: [good, other, other] })).toThrow(/2[^}]*stands twice|stands twice[^}]*2/s);
  expect(() => readMaterials({ materials: [{ ...good, absorption: { 500: 2 } }] })).toThrow('absorption');
  expect(() => readMaterials({ materials: [{ ...good, absorption: { 440: 0.2 } }] })).toThrow();
});
