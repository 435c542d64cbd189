import { describe, expect, it } from 'vitest';
import { chartBasis } from '../../src/charts/basis.ts';
import type { Chart } from '../../src/charts/chart.ts';
import { roomPlan } from '../../src/charts/room-plan.ts';
import { ENGLISH } from '../../src/charts/words.ts';
import { inventedInput } from './fixture.ts';

const basis = chartBasis(null, ENGLISH);
const { project } = inventedInput().results;
type Position = (typeof project.positions)[string];
const plan = (positions: Record<string, Position>) => roomPlan({ room: project.room, positions }, basis);

describe('roomPlan', () => {
  it('draws a metre as long across as up', () => {
    const { spec } = plan(project.positions) as Chart & { spec: { width: number; height: number } };
    const layers = (
      spec as unknown as { layer: { encoding: Record<'x' | 'y', { scale: { domain: [number, number] } }> }[] }
    ).layer;
    const across = spec.width / layers[0]!.encoding.x.scale.domain[1];
    const up = spec.height / layers[0]!.encoding.y.scale.domain[1];
    expect(Math.abs(across / up - 1)).toBeLessThan(0.005);
  });
  it('shows a place that two positions share once, with both names', () => {
    expect((plan(project.positions) as Chart).alt).toContain('Source A, B at 3.90\u00a0m by 2.40\u00a0m.');
  });
  it('leaves out a place outside the walls', () => {
    const { alt } = plan({ in: { microphone: [1, 1, 1] }, out: { microphone: [9, 1, 1] } }) as Chart;
    expect(alt).toContain('Microphone in at');
    expect(alt).not.toContain('out');
  });
  it('is not drawn without coordinates, nor for a room that is no box', () => {
    expect(plan({})).toEqual({ id: 'room-plan', reason: 'no position has coordinates within the room' });
    expect(roomPlan({ room: { volume: 40 }, positions: project.positions }, basis)).toMatchObject({ id: 'room-plan' });
  });
});
