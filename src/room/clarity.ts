import { powerToDb } from '../signal/decibels.ts';
import { Workspace } from '../signal/workspace.ts';
import type { BandDecay } from './band-decay.ts';
import { energiesFrom, energyFrom, type Tail } from './schroeder.ts';

export interface Clarity {
  c50_db: number;
  c80_db: number;
  d50: number;
  ts_s: number;
}

/** Steps of the sum for the centre time. */
const STEPS = 500;
const memory = new Workspace();

/**
 * Clarity C50 and C80, definition D50 and centre time Ts of a band, noise taken off and the missing tail added. Energy that
 * reversed filtering puts before time zero counts as early.
 *
 * Source: ISO 3382-1:2009, A.2.3 and A.2.4 (from memory). Ts is the integral of the backward-integrated energy from time zero
 * on, over the whole energy, which equals the integral of t p^2 by parts; past the truncation point the tail is taken as
 * exponential with `late_rate` (per second).
 *
 * Returns null where no energy is left after the noise is taken off.
 */
export function readClarity(decay: BandDecay, tail: Tail, late_rate: number): Clarity | null {
  const whole = energyFrom(decay, tail, Number.NEGATIVE_INFINITY);
  const from = (time_s: number) =>
    time_s <= tail.stop_s
      ? energyFrom(decay, tail, time_s)
      : tail.missing * Math.exp(-late_rate * (time_s - tail.stop_s));
  const late50 = from(0.05);
  const late80 = from(0.08);
  if (!(late50 > 0 && late80 > 0 && whole > late50)) return null;
  const step_s = tail.stop_s / STEPS;
  const energies = energiesFrom(decay, tail, { count: STEPS, workspace: memory });
  let moment = (energies[0]! + tail.missing) / 2;
  for (let i = 1; i < STEPS; i++) moment += energies[i]!;
  const ts_s = (moment * step_s + tail.missing / late_rate) / whole;
  return {
    c50_db: powerToDb((whole - late50) / late50),
    c80_db: powerToDb((whole - late80) / late80),
    d50: (whole - late50) / whole,
    ts_s,
  };
}
