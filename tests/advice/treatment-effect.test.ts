import { describe, expect, test } from 'vitest';
import { whatNext } from '../../src/advice/what-next.ts';
import { absorptionChange } from '../../src/room/absorption-change.ts';
import { predictedTime_s } from '../../src/room/prediction.ts';
import { makeInput } from './fixture.ts';

const BARE = [0.7, 0.65, 0.6, 0.6, 0.55, 0.5];
const ROOM = { volume_m3: 5.2 * 3.6 * 2.6, surface_m2: 83.2, speed_m_s: 343, air_per_m: 0 };
const wool = {
  name: 'wool panels',
  area: 8,
  thickness: 50,
  cost: 400,
  absorption: { 125: 0.2, 250: 0.6, 500: 0.95, 1000: 0.95, 2000: 0.95, 4000: 0.9 },
};
const stages = (treatment: object) => ({ stages: [{ id: 'bare' }, { id: 'treated', treatments: [treatment] }] });
const noAir = { room: { length: 5.2, width: 3.6, height: 2.6 } };
/** Decay times of the room after a share of what the wool promises came true. */
const after = (share: number) =>
  BARE.map((now_s, band) => predictedTime_s({ ...ROOM, now_s }, share * 8 * Object.values(wool.absorption)[band]!));

test('a gain is that of ISO 354, per square metre of product and per unit of money', () => {
  const advice = whatNext(
    makeInput(BARE, [0.6, 0.5, 0.35, 0.35, 0.33, 0.3], { project: { ...noAir, ...stages(wool) } }),
  );
  const effect = advice.effects[0]!;
  const band = effect.bands.find(({ centre_hz }) => centre_hz === 500)!;
  // 55.3 V / c (1/0.35 - 1/0.60): 9.3418 m2 in 48.672 m3 at 343 m/s.
  expect(band.gain_m2).toBeCloseTo(9.3418, 3);
  expect(band.per_m2).toBeCloseTo(9.3418 / 8, 3);
  expect(band.claim).toBe('gained');
  expect(band.low_m2!).toBeLessThan(band.gain_m2!);
  expect(effect.cost_per_m2!.value).toBeCloseTo(400 / 9.3418, 2);
  expect(effect.cost_per_m2!.low).toBeLessThan(effect.cost_per_m2!.value);
});

test('humidity brings in the air term, and its want is said', () => {
  const withAir = whatNext(makeInput(BARE, after(1), { project: stages(wool) })).effects[0]!.bands[5]!;
  const without = whatNext(makeInput(BARE, after(1), { project: { ...noAir, ...stages(wool) } })).effects[0]!.bands[5]!;
  expect(withAir.air_term).toBe(true);
  expect(without.air_term).toBe(false);
});

describe('beside what its data promise', () => {
  const at1k = (share: number, treatment: object = wool) =>
    whatNext(makeInput(BARE, after(share), { project: { ...noAir, ...stages(treatment) } })).effects[0]!.bands.find(
      ({ centre_hz }) => centre_hz === 1000,
    )!;

  test('a product that keeps its promise agrees, and the predicted time is the measured one', () => {
    const band = at1k(1);
    expect(band.versus).toBe('agrees');
    expect(band.predicted!.time_s).toBeCloseTo(band.measured_s!, 9);
    expect(band.reasons).toEqual([]);
  });

  test('one that gives six tenths is named as less, within the gap rooms usually show', () => {
    const band = at1k(0.6);
    expect(band.versus).toBe('less');
    expect(band.usual_gap).toBe(true);
    expect(band.reasons).toEqual(expect.arrayContaining(['field-not-diffuse', 'shielded-place']));
  });

  test('one that gives a fifth is less than rooms usually show', () => {
    expect(at1k(0.2)).toMatchObject({ versus: 'less', usual_gap: false });
  });

  test('a thin layer has thinness for a reason, a deep one has not', () => {
    expect(at1k(0.3, { ...wool, thickness: 12 }).reasons[0]).toBe('thin-layer');
    expect(at1k(0.3, { ...wool, thickness: 100 }).reasons).not.toContain('thin-layer');
  });

  test('without data or area nothing is promised', () => {
    const band = at1k(0.6, { name: 'curtain', area: 4 });
    expect(band.versus).toBeNull();
    expect(band.predicted_gain).toBeNull();
    expect(band.per_m2).not.toBeNull();
    expect(at1k(0.6, { name: 'curtain', absorption: { 1000: 0.5 } }).per_m2).toBeNull();
  });
});

test('a decay that air alone could have shortened is no gain', () => {
  // 4 kHz: the later day is so dry that the air takes more than the change in decay shows.
  const project = {
    stages: [
      { id: 'bare', temperature: 20, humidity: 60 },
      { id: 'treated', temperature: 20, humidity: 15, treatments: [wool] },
    ],
    room: { length: 12, width: 10, height: 5 },
  };
  const times = [1.5, 1.5, 1.5, 1.5, 1.4, 1.3];
  const input = makeInput(times, [1.5, 1.5, 1.5, 1.5, 1.4, 1.2], { project, relative: 0.005 });
  const gain = absorptionChange({
    volume_m3: 600,
    centre_hz: 4000,
    before: { time_s: 1.3, standard_uncertainty_s: 0, dof: null, temperature_c: 20, humidity_percent: 60 },
    after: { time_s: 1.2, standard_uncertainty_s: 0, dof: null, temperature_c: 20, humidity_percent: 15 },
  });
  expect(gain.area_m2).toBeLessThan(0);
  const band = whatNext(input).effects[0]!.bands.find(({ centre_hz }) => centre_hz === 4000)!;
  expect(input.changes[0]!.values[5]!.verdict).toBe('reduced');
  expect(band.claim).toBe('none-detected');
});

test('treatments of every stage between count, and a comparison that runs backwards gives none', () => {
  const input = makeInput(BARE, after(1), {
    project: {
      ...noAir,
      stages: [
        { id: 'bare' },
        { id: 'rug', treatments: [{ ...wool, name: 'rug' }] },
        { id: 'treated', treatments: [wool] },
      ],
    },
  });
  expect(whatNext(input).effects[0]!.treatments).toEqual(['rug', 'wool panels']);
  const backwards = { ...input.changes[0]!, from: 'treated', to: 'bare' };
  expect(whatNext({ ...input, changes: [backwards] }).effects).toEqual([]);
});
