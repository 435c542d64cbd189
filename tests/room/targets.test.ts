import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { PURPOSES } from '../../src/project/project.ts';
import {
  listeningRoomTime_s,
  projectTarget,
  quietRoomAbsorption,
  schoolTarget_s,
  targetByBand,
} from '../../src/room/targets.ts';

describe('DIN 18041:2016 group A', () => {
  // Formulas and ranges as printed in makers' summaries of DIN 18041:2016; the values computed from them, to two decimals.
  const table: [volume_m3: number, ...(number | null)[]][] = [
    [30, 0.73, null, 0.3, 0.24, null],
    [48.672, 0.83, null, 0.37, 0.3, null],
    [60, 0.87, 0.52, 0.4, 0.32, null],
    [100, 0.97, 0.6, 0.47, 0.38, null],
    [150, 1.05, 0.67, 0.53, 0.43, null],
    [180, 1.08, 0.69, 0.55, 0.45, null],
    [250, 1.15, 0.75, 0.6, 0.48, 0.8],
    [400, 1.24, 0.82, 0.66, 0.54, 0.95],
  ];
  test.each(table)('gives the values of its lines at %d m3, and none outside their range', (volume_m3, ...expected) => {
    const uses = ['A1', 'A2', 'A3', 'A4', 'A5'] as const;
    expected.forEach((value, index) => {
      const got = schoolTarget_s(uses[index]!, volume_m3);
      if (value === null) expect(got).toBeNull();
      else expect(Math.abs(got! - value)).toBeLessThanOrEqual(0.00501);
    });
  });

  test('holds a sports hall at 2 s from 10000 m3 up', () => {
    expect(schoolTarget_s('A5', 10000)).toBeCloseTo(2, 6);
    expect(schoolTarget_s('A5', 15000)).toBe(2);
  });

  test('widens its tolerance towards the bass and the treble', () => {
    const target = targetByBand('classroom', 100);
    if (!target.ok) throw new Error(target.reason);
    const factors = target.centre.map((band) => [
      band.centre_hz,
      +(band.low_s / band.target_s).toFixed(2),
      +(band.high_s / band.target_s).toFixed(2),
    ]);
    expect(factors).toEqual([
      [63, 0.5, 1.7],
      [125, 0.65, 1.45],
      [250, 0.8, 1.2],
      [500, 0.8, 1.2],
      [1000, 0.8, 1.2],
      [2000, 0.8, 1.2],
      [4000, 0.65, 1.2],
      [8000, 0.5, 1.2],
    ]);
  });
});

test('a practice room is judged by A2, which starts at 50 m3: a bedroom of 30 m3 has no target', () => {
  // "Musikproberaum in Musikschulen" stands with the line 0.37 lg V - 0.14 in summaries of the standard.
  const target = targetByBand('music-practice', 60);
  if (!target.ok) throw new Error(target.reason);
  expect(target.source).toBe('DIN 18041:2016, group A2');
  expect(target.centre[3]!.target_s).toBeCloseTo(0.52, 2);
  expect(targetByBand('music-practice', 30)).toMatchObject({ ok: false, code: 'too-small' });
});

describe('DIN 18041:2016 group B', () => {
  test.each([
    ['B2', 0.15, 0.1421, 0.1312],
    ['B3', 0.2, 0.1863, 0.168],
    ['B4', 0.25, 0.229, 0.2019],
    ['B5', 0.3, 0.2697, 0.2329],
  ] as const)('asks of %s the absorption its height calls for', (use, low, at3, at4) => {
    expect(quietRoomAbsorption(use, 2.4)).toBe(low);
    expect(quietRoomAbsorption(use, 3)).toBeCloseTo(at3, 4);
    expect(quietRoomAbsorption(use, 4)).toBeCloseTo(at4, 4);
    expect(quietRoomAbsorption('B1', 3)).toBeNull();
  });
});

describe('listening rooms, EBU Tech 3276 and ITU-R BS.1116-3', () => {
  test.each([
    [30, 0.1674],
    [48.672, 0.1967],
    [60, 0.2109],
    [80, 0.2321],
    [100, 0.25],
    [125, 0.2693],
    [150, 0.2862],
    [200, 0.315],
    [250, 0.3393],
    [300, 0.3606],
  ])('the formula gives %d m3 its time of %d s', (volume_m3, expected) => {
    expect(listeningRoomTime_s(volume_m3)).toBeCloseTo(expected, 4);
  });

  test('a room too small for the formula is held at the published 0.2 s and says so', () => {
    const target = targetByBand('speech-recording', 48.672);
    if (!target.ok) throw new Error(target.reason);
    expect(target.basis).toBe('span');
    expect(target.note).toContain('too small for the formula');
    expect(target.centre.map((band) => band.centre_hz)).toEqual([250, 500, 1000, 2000, 4000]);
    for (const band of target.centre) {
      expect(band.target_s).toBe(0.2);
      expect(band.low_s).toBeCloseTo(0.15, 12);
      expect(band.high_s).toBeCloseTo(0.25, 12);
    }
  });

  test('a booth is not judged by a document about listening rooms', () => {
    expect(targetByBand('speech-recording', 30)).toMatchObject({ ok: true, basis: 'span' });
    expect(targetByBand('speech-recording', 12)).toMatchObject({ ok: false, code: 'too-small' });
  });

  test('a hall is no listening room', () => {
    expect(targetByBand('mixing', 450)).toMatchObject({ ok: false, code: 'too-large' });
  });
});

describe('refusals', () => {
  test('a room below the range of the line has no target, with the reason', () => {
    const target = targetByBand('meeting', 24.3);
    expect(target).toMatchObject({ ok: false, code: 'too-small' });
    if (!target.ok) expect(target.reason).toBe('the room holds 24.3 m3, and DIN 18041:2016, group A3 starts at 30 m3');
  });

  test('no purpose and no volume give no target', () => {
    expect(targetByBand('other', 60)).toMatchObject({ ok: false, code: 'no-standard' });
    expect(targetByBand('classroom', null)).toMatchObject({ ok: false, code: 'no-volume' });
    expect(targetByBand('classroom', 1200)).toMatchObject({ ok: false, code: 'too-large' });
  });

  test('every target given lies inside its own tolerance, names a source, and ascends in frequency', () => {
    fc.assert(
      fc.property(fc.constantFrom(...PURPOSES), fc.double({ min: 5, max: 2000, noNaN: true }), (purpose, volume_m3) => {
        const target = targetByBand(purpose, volume_m3);
        if (!target.ok) {
          expect(target.reason.length).toBeGreaterThan(10);
          return;
        }
        expect(target.source).toMatch(/\d{4}/);
        target.centre.forEach((band, index) => {
          expect(band.low_s).toBeGreaterThan(0);
          expect(band.low_s).toBeLessThan(band.target_s);
          expect(band.high_s).toBeGreaterThan(band.target_s);
          if (index > 0) expect(band.centre_hz).toBeGreaterThan(target.centre[index - 1]!.centre_hz);
        });
      }),
    );
  });
});

describe('projectTarget(project)', () => {
  const room = { length: 3.4, width: 2.7, height: 2.4 };
  test('is what the project asks for, in the octaves 250 Hz to 4 kHz, and claims no standard', () => {
    const target = projectTarget({ purpose: 'mixing', room, target: { time: 0.3, tolerance: 0.05 } });
    if (!target.ok) throw new Error(target.reason);
    expect(target.basis).toBe('asked');
    expect(target.centre.map(({ centre_hz }) => centre_hz)).toEqual([250, 500, 1000, 2000, 4000]);
    for (const band of target.centre) {
      expect(band.target_s).toBe(0.3);
      expect(band.low_s).toBeCloseTo(0.25, 12);
      expect(band.high_s).toBeCloseTo(0.35, 12);
    }
    expect(target.source).not.toMatch(/EBU|ITU|DIN|ISO/);
  });
  test('is the published one where the project asks for nothing', () => {
    expect(projectTarget({ purpose: 'mixing', room: { volume: 100 } })).toEqual(targetByBand('mixing', 100));
    expect(projectTarget({ purpose: 'mixing', room })).toMatchObject({ ok: false, code: 'too-small' });
  });
});
