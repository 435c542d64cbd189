import { expect, test } from 'vitest';
import { whatNext } from '../../src/advice/what-next.ts';
import { firstReflections } from '../../src/room/image-sources.ts';
import { makeInput } from './fixture.ts';

const LONG = [0.7, 0.65, 0.6, 0.6, 0.55, 0.5];
const MET = [0.6, 0.2, 0.2, 0.2, 0.2, 0.2];
const plan = { microphone: [2.1, 1.2, 1.4], source: [3.9, 2.4, 1.5] } as const;
const ceiling = firstReflections({
  box: { length_m: 5.2, width_m: 3.6, height_m: 2.6 },
  ...plan,
  speed_m_s: 343,
})!.find(({ face }) => face === 'ceiling')!;
const claps = (level_db: number) =>
  [-0.0001, 0, 0.0001].map((shift_s) => [
    { delay_s: ceiling.delay_s + shift_s, extra_path_m: ceiling.extra_path_m, level_db },
  ]);
const spotOf = (after_s: readonly number[], level_db: number, purpose = 'mixing') => {
  const project = { purpose, positions: { A: plan } };
  const reflections = [{ position: 'A', responses: claps(level_db) }];
  return whatNext(makeInput(LONG, after_s, { project, reflections })).placement[0]!.spots[0]!;
};

test('a loud early reflection is traced to the ceiling, with the place to treat', () => {
  const spot = spotOf(LONG, -6);
  expect(spot.likely!.face).toBe('ceiling');
  expect(spot.likely!.point_m[2]).toBeCloseTo(2.6, 9);
  expect(spot.too_loud).toBe(true);
  expect(spot.action).toBe('absorb-there');
});

test('where the target is met, absorbing is not advised: moving or angling is', () => {
  expect(spotOf(MET, -6).action).toBe('move-or-angle');
});

test('one at least 10 dB down asks for nothing', () => {
  expect(spotOf(LONG, -12)).toMatchObject({ too_loud: false, action: 'none' });
});

test('in a classroom early reflections carry the voice and are left alone', () => {
  expect(spotOf(LONG, -6, 'classroom').action).toBe('none');
});

test('a position without a plan, or a room that is no box, gives nothing', () => {
  const reflections = [{ position: 'B', responses: claps(-6) }];
  expect(whatNext(makeInput(LONG, LONG, { reflections })).placement).toEqual([]);
  const project = { room: { volume: 48, surface_area: 83 }, positions: { B: plan } };
  expect(whatNext(makeInput(LONG, LONG, { project, reflections })).placement).toEqual([]);
});
