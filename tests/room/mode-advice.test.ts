import fc from 'fast-check';
import { expect, test } from 'vitest';
import { octaveStanding, summariseModes } from '../../src/room/mode-advice.ts';

const BOX = { length_m: 5.2, width_m: 3.6, height_m: 2.6 };

test('the octaves fall into modal, mixed and statistical at the Schroeder frequency', () => {
  const summary = summariseModes(BOX, 0.5, 343);
  // 202.7 Hz: above the upper edge of the 125 Hz octave (177.8), inside 250 Hz, under the lower edge of 500 Hz (354.8).
  expect(summary.bands.map((band) => band.standing)).toEqual(['modal', 'modal', 'mixed', 'statistical']);
});

test('modes that fall together are named: a length of twice the height doubles its modes', () => {
  const summary = summariseModes(BOX, 0.5, 343);
  const first = summary.coincident[0]!;
  expect(first.frequency_hz).toBeCloseTo(65.962, 3);
  expect(first.orders).toEqual([
    [0, 0, 1],
    [2, 0, 0],
  ]);
});

test('the widest gap lies between the two lowest modes', () => {
  const gap = summariseModes(BOX, 0.5, 343).widest_gap!;
  expect(gap.from_hz).toBeCloseTo(32.981, 3);
  expect(gap.to_hz).toBeCloseTo(47.639, 3);
});

test('counts by kind add up to the list, and the spacing to the width of the band', () => {
  const summary = summariseModes(BOX, 0.4, 343);
  expect(summary.counts.axial + summary.counts.tangential + summary.counts.oblique).toBe(summary.modes.length);
  const octave = summary.bands[1]!;
  expect(octave.modes).toBeGreaterThan(20);
  expect(octave.mean_spacing_hz! * (octave.modes - 1)).toBeLessThanOrEqual(octave.high_hz - octave.low_hz);
});

test('the widest gap is the widest there is, wherever it lies, and none where all modes lie close', () => {
  const edge_m = fc.double({ min: 2, max: 9, noNaN: true });
  fc.assert(
    fc.property(
      edge_m,
      edge_m,
      edge_m,
      fc.double({ min: 0.2, max: 1, noNaN: true }),
      (length_m, width_m, height_m, time_s) => {
        const { modes, widest_gap, bandwidth_hz } = summariseModes({ length_m, width_m, height_m }, time_s, 343);
        const gaps_hz = modes.slice(1).map(({ frequency_hz }, i) => frequency_hz - modes[i]!.frequency_hz);
        const widest_hz = Math.max(0, ...gaps_hz);
        expect(widest_gap === null ? null : widest_gap.to_hz - widest_gap.from_hz).toBe(
          widest_hz > bandwidth_hz ? widest_hz : null,
        );
      },
    ),
  );
});

test('spacing is the mean step from mode to mode of an octave, and of one mode there is none', () => {
  // Rung for 1 s its Schroeder frequency is 287 Hz, so that the list reaches over the first two octaves.
  const { bands, modes } = summariseModes(BOX, 1, 343);
  for (const { low_hz, high_hz, modes: count, mean_spacing_hz } of bands.slice(0, 2)) {
    const inside = modes.map(({ frequency_hz }) => frequency_hz).filter((hz) => hz >= low_hz && hz < high_hz);
    expect(count).toBe(inside.length);
    const steps_hz = inside.slice(1).map((hz, i) => hz - inside[i]!);
    expect(mean_spacing_hz).toBeCloseTo(steps_hz.reduce((sum, step) => sum + step, 0) / steps_hz.length, 9);
  }
  // 343 m/s over twice 2.6, 1.9 and 1.8 m: 66.0, 90.3, 95.3 Hz; the octave of 63 Hz ends at 89.1.
  const small = summariseModes({ length_m: 2.6, width_m: 1.9, height_m: 1.8 }, 0.3, 343);
  expect(small.bands[0]).toMatchObject({ modes: 1, mean_spacing_hz: null });
});

test('an octave stands by its edges to the Schroeder frequency; other midbands are refused', () => {
  // Edges of the 125 Hz octave: 10^1.95 and 10^2.25 Hz (IEC 61260-1:2014, 5.4).
  expect(octaveStanding(125, 10 ** 2.25 * 1.0001)).toBe('modal');
  expect(octaveStanding(125, 10 ** 2.25 / 1.0001)).toBe('mixed');
  expect(octaveStanding(125, 10 ** 1.95 * 1.0001)).toBe('mixed');
  expect(octaveStanding(125, 10 ** 1.95 / 1.0001)).toBe('statistical');
  expect(() => octaveStanding(100, 200)).toThrow('100 Hz is no octave midband');
});
