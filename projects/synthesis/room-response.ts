import { boxReflections, type Point, type WallReflection } from './box-reflections.ts';
import { decayingNoise, type PerBand } from './decaying-noise.ts';
import type { Random } from './random.ts';

export interface SyntheticRoom {
  size_m: Point;
  source: Point;
  microphone: Point;
  walls: WallReflection;
  /** True decay time of each octave band. */
  decay_s: PerBand;
}

/** Reflections are single until the field is mixed; the diffuse tail takes over between these times. */
const MIXING_S = { from: 0.006, to: 0.016 };

/**
 * What a microphone in a small room hears of an ideal impulse: direct sound of amplitude 1 at sample 0, the early
 * reflections of the box, and a diffuse tail whose decay in each band is known exactly. The tail has the energy that
 * Sabine's theory gives it beside the direct sound: 16 pi r^2 / A, with A = 24 ln(10) V / (c T).
 *
 * @param length samples, a power of two, long enough for the longest decay
 */
export function roomResponse(
  random: Random,
  room: SyntheticRoom,
  { rate_hz, length }: { rate_hz: number; length: number },
): Float64Array {
  const [x, y, z] = room.size_m;
  const volume_m3 = x * y * z;
  const direct_m = Math.hypot(...room.source.map((s, i) => s - room.microphone[i]!));
  const power = room.decay_s.map((decay_s) => {
    const area_m2 = (24 * Math.log(10) * volume_m3) / (343.2 * decay_s);
    const energy = (16 * Math.PI * direct_m ** 2) / area_m2;
    return (energy * 6 * Math.log(10)) / (decay_s * rate_hz);
  }) as unknown as PerBand;
  const response = decayingNoise(random, { decay_s: room.decay_s, power, rate_hz, length });
  const from = Math.round(MIXING_S.from * rate_hz);
  const to = Math.round(MIXING_S.to * rate_hz);
  response.fill(0, 0, from);
  for (let i = from; i < to; i++) response[i]! *= Math.sin(((Math.PI / 2) * (i - from)) / (to - from));
  for (const { delay_s, amplitude } of boxReflections(room.size_m, { ...room, until_s: MIXING_S.to })) {
    const fade = Math.min(1, Math.max(0, (MIXING_S.to - delay_s) / (MIXING_S.to - MIXING_S.from)));
    response[Math.round(delay_s * rate_hz)]! += amplitude * Math.sqrt(fade);
  }
  return response;
}
