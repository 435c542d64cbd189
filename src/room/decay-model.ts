import { powerToDb } from '../signal/decibels.ts';

/** ln(10^6): a fall by 60 dB in power. */
export const LN_MILLION = Math.log(1e6);

/** A decay as a sum of exponentials over steady noise: power(t) = sum of amplitude exp(-rate t), plus noise. */
export interface DecayModel {
  slopes: { amplitude: number; rate: number }[];
  /** Mean power; 0: not part of the model. */
  noise: number;
}

/** Power of the decay alone, noise not counted, at a time after zero. */
export function decayPower({ slopes }: DecayModel, time_s: number): number {
  return slopes.reduce((sum, { amplitude, rate }) => sum + amplitude * Math.exp(-rate * time_s), 0);
}

/** Energy of the decay alone from a time after zero to infinity. */
export function decayEnergy({ slopes }: DecayModel, time_s: number): number {
  return slopes.reduce((sum, { amplitude, rate }) => sum + (amplitude / rate) * Math.exp(-rate * time_s), 0);
}

/** The time at which the decay has come down to `power`; 0 where it starts below. Found by halving, to 1e-6 of the time. */
export function timeAtPower(model: DecayModel, power: number): number {
  if (!(decayPower(model, 0) > power)) return 0;
  let low = 0;
  let high = 0.01;
  while (decayPower(model, high) > power && high < 1e3) high *= 2;
  while (high - low > 1e-6 * high) {
    const middle = (low + high) / 2;
    if (decayPower(model, middle) > power) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Level in dB of the decay at time zero over the noise, or over what is left of it at `end_s` where that is more. */
export function rangeOf(model: DecayModel, end_s: number): number {
  return powerToDb(decayPower(model, 0) / Math.max(model.noise, decayPower(model, end_s)));
}
