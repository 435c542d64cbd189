import { describe, expect, it } from 'vitest';
import { chartBasis } from '../../src/charts/basis.ts';
import type { Chart } from '../../src/charts/chart.ts';
import { energyMap } from '../../src/charts/energy-map.ts';
import { pickTraces } from '../../src/charts/pick-traces.ts';
import { labelStages } from '../../src/charts/stage-label.ts';
import { ENGLISH } from '../../src/charts/words.ts';
import { withUnit } from '../../src/report/format.ts';
import type { DecayCurve } from '../../src/room/reading.ts';
import { inventedInput } from './fixture.ts';

interface Cell {
  band: string;
  from_s: number;
  to_s: number;
  level: string;
}

function drawn(curves: DecayCurve[]): { chart: Chart; cells: Cell[] } {
  const { results, traces } = inventedInput();
  const [from, , to] = labelStages(results.project.stages, '#2b4a66');
  const pair = pickTraces({ takes: results.takes, traces, from: 's1', to: 's3' })!;
  pair.from.trace = { ...pair.from.trace, curves };
  const chart = energyMap({ id: 'map', pair, from: from!, to: to! }, chartBasis(null, ENGLISH)) as Chart;
  const panels = (chart.spec as unknown as { hconcat: { layer: [{ data: { values: Cell[] } }] }[] }).hconcat;
  return { chart, cells: panels[0]!.layer[0].data.values };
}

/** A decay of 100 dB a second, cut where told. */
function straight(width: DecayCurve['width'], centre_hz: number, truncation_s: number): DecayCurve {
  const level_db = Array.from({ length: 1000 }, (_, index) => -0.1 * index - 0.05);
  return { width, centre_hz, step_s: 0.001, level_db, noise_db: -70, truncation_s };
}

describe('energyMap', () => {
  it('changes shade where the decay passes each 10 dB, without gap or overlap', () => {
    const { cells } = drawn([straight('octave', 1000, 1)]);
    expect(cells.map((cell) => cell.from_s)).toEqual([0, 0.1, 0.2, 0.3, 0.4, 0.5]);
    expect(cells.map((cell) => cell.to_s)).toEqual([0.1, 0.2, 0.3, 0.4, 0.5, 0.6]);
    expect(cells[1]!.level).toBe('−10 to −20 dB');
  });
  it('draws nothing past the point where the integration was cut', () => {
    const { cells } = drawn([straight('octave', 1000, 0.25)]);
    expect(Math.max(...cells.map((cell) => cell.to_s))).toBe(0.25);
  });
  it('takes third octaves where there are any, octaves else', () => {
    const { cells } = drawn([straight('octave', 1000, 1), straight('third-octave', 1250, 1)]);
    expect(new Set(cells.map((cell) => cell.band))).toEqual(new Set(['1.25k']));
  });
  it('says when each octave is 30 dB down, and only of those that are', () => {
    const { chart } = drawn([straight('octave', 1000, 1), straight('octave', 500, 0.2)]);
    expect(chart.alt).toContain(`Bare room: 30 dB down after ${withUnit('0.30', 's')} at 1 kHz.`);
  });
});
