import { backgroundNoise } from '../../projects/synthesis/background.ts';
import { decayingNoise, type PerBand } from '../../projects/synthesis/decaying-noise.ts';
import { type Random, seededRandom } from '../../projects/synthesis/random.ts';
import { roomResponse } from '../../projects/synthesis/room-response.ts';
import { soundOfSource } from '../../projects/synthesis/sources.ts';

/** What rooms do that a plain decay does not: none of it is a fault of the take. */
export type RoomKind = 'flutter' | 'strong reflection' | 'two slopes' | 'low modes' | 'coupled rooms';

const RATE_HZ = 48_000;
const LENGTH = 65_536;
const GAP_S = 1.9;
const CLAPS = 4;
/** Share of a tail's energy that changes when the hands move a little: enough to make the third octaves of two claps differ. */
const MOVED_SHARE = 0.2;

/** Four claps in such a room, the hands not quite in one place, in steady noise. The same name gives the same take. */
export function roomLikeTake(name: string, kind: RoomKind): { samples: Float64Array; rate_hz: number } {
  const random = seededRandom(name);
  const { tail, fixed } = responseOf(random, kind);
  const seconds = 0.8 + CLAPS * GAP_S;
  const level = 10 ** (-random.between(62, 78) / 20);
  const samples = backgroundNoise(random, { length: Math.round(seconds * RATE_HZ), level, rate_hz: RATE_HZ });
  for (let clap = 0; clap < CLAPS; clap++) {
    const sound = soundOfSource(random, plus(moved(random, tail), fixed), { source: 'board', rate_hz: RATE_HZ });
    const gain = 0.6 * 10 ** (-random.between(0, 6) / 20);
    const onset = Math.round((0.8 + clap * GAP_S) * RATE_HZ);
    for (let i = 0; i < sound.length && onset + i < samples.length; i++) samples[onset + i]! += gain * sound[i]!;
  }
  return { samples, rate_hz: RATE_HZ };
}

/** The tail mixed with another that has the same envelope, from 10 ms on. */
function moved(random: Random, tail: Float64Array): Float64Array {
  const [kept, changed] = [Math.sqrt(1 - MOVED_SHARE), Math.sqrt(MOVED_SHARE)];
  const from = Math.round(0.01 * RATE_HZ);
  return tail.map((value, i) => (i < from ? value : kept * value + changed * random.normal() * Math.abs(value)));
}

/** The diffuse part, and what stays where it is however the hands are held. */
function responseOf(random: Random, kind: RoomKind): { tail: Float64Array; fixed: Float64Array } {
  const decay_s = same(random.between(0.25, 0.5));
  const size_m = [random.between(3, 6), random.between(2.5, 5), random.between(2.3, 3)] as const;
  const walls = [0.8, 0.8, 0.8, 0.8, 0.8, 0.8] as const;
  const source = [size_m[0] * 0.3, size_m[1] * 0.4, 1.3] as [number, number, number];
  const microphone = [size_m[0] * 0.7, size_m[1] * 0.6, 1.2] as [number, number, number];
  const tail = roomResponse(
    random,
    { size_m: [...size_m], source, microphone, walls, decay_s },
    { rate_hz: RATE_HZ, length: LENGTH },
  );
  const fixed = new Float64Array(LENGTH);
  const at = (time_s: number) => Math.round(time_s * RATE_HZ);
  switch (kind) {
    case 'flutter': {
      // Each pass spreads a little further, and loses a little at the walls.
      const [period_s, decay, level] = [
        random.between(0.009, 0.02),
        random.between(0.5, 0.9),
        random.between(0.2, 0.5),
      ];
      for (let pass = 1; pass * period_s < 1; pass++) {
        fixed[at((pass + 1) * period_s)]! += (level / pass) * 10 ** ((-3 * pass * period_s) / decay);
      }
      return { tail, fixed };
    }
    case 'strong reflection':
      fixed[at(random.between(0.03, 0.09))]! += random.between(0.3, 0.7);
      return { tail, fixed };
    case 'two slopes':
      return {
        fixed,
        tail: plus(
          tail,
          decayingNoise(random, {
            decay_s: same(1.1),
            power: same(tailPower(tail) * 0.005),
            rate_hz: RATE_HZ,
            length: LENGTH,
          }),
        ),
      };
    case 'low modes':
      for (const frequency_hz of [45, 71, 112, 140]) {
        const [decay, phase, level] = [random.between(0.8, 1.5), random.between(0, 6.28), random.between(0.01, 0.03)];
        for (let i = 0; i < LENGTH; i++) {
          const t = i / RATE_HZ;
          fixed[i]! += level * 10 ** ((-3 * t) / decay) * Math.sin(2 * Math.PI * frequency_hz * t + phase);
        }
      }
      return { tail, fixed };
    case 'coupled rooms': {
      const other = decayingNoise(random, {
        decay_s: same(0.8),
        power: same(tailPower(tail) * 0.1),
        rate_hz: RATE_HZ,
        length: LENGTH,
      });
      const fill_s = random.between(0.03, 0.08);
      return {
        fixed,
        tail: plus(
          tail,
          other.map((value, i) => value * Math.sqrt(1 - Math.exp(-i / (fill_s * RATE_HZ)))),
        ),
      };
    }
  }
}

const same = (value: number) => Array.from({ length: 8 }, () => value) as unknown as PerBand;
const plus = (a: Float64Array, b: Float64Array) => a.map((value, i) => value + b[i]!);

/** Mean square of the tail as it would stand at time zero: from 20 to 40 ms, about. */
function tailPower(response: Float64Array): number {
  const part = response.subarray(Math.round(0.02 * RATE_HZ), Math.round(0.04 * RATE_HZ));
  return part.reduce((sum, value) => sum + value * value, 0) / part.length;
}
