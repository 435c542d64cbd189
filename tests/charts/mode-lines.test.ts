import { expect, it } from 'vitest';
import { chartBasis } from '../../src/charts/basis.ts';
import type { Chart } from '../../src/charts/chart.ts';
import { modeLines } from '../../src/charts/mode-lines.ts';
import { ENGLISH } from '../../src/charts/words.ts';
import { withUnit } from '../../src/report/format.ts';
import { summariseModes } from '../../src/room/mode-advice.ts';

const basis = chartBasis(null, ENGLISH);
const summary = summariseModes({ length_m: 5.2, width_m: 3.6, height_m: 2.6 }, 0.4, 343);

it('modeLines: draws every mode once, in the row of its kind', () => {
  const { spec } = modeLines(summary, basis) as Chart;
  const { values } = (spec as unknown as { layer: [{ data: { values: { kind: string }[] } }] }).layer[0].data;
  for (const kind of ['axial', 'tangential', 'oblique'] as const) {
    expect(values.filter((row) => row.kind === ENGLISH.mode[kind])).toHaveLength(summary.counts[kind]);
  }
});

it('modeLines: tells the Schroeder frequency and the lowest mode, c / 2L', () => {
  // 2000 sqrt(0.4 / 48.672) = 181.3 Hz (Schroeder 1996); 343 / 10.4 = 33.0 Hz (Rayleigh 1878).
  const { alt } = modeLines(summary, basis) as Chart;
  expect(alt).toContain(`Schroeder frequency of ${withUnit('181', 'Hz')}`);
  expect(alt).toContain(`the lowest lies at ${withUnit('33', 'Hz')}`);
});

it('modeLines: is not drawn for a room that is no box', () => {
  expect(modeLines(null, basis)).toMatchObject({ id: 'room-modes', reason: ENGLISH.skipped.no_box });
});
