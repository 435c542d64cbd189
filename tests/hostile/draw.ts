import { seededRandom } from '../../projects/synthesis/random.ts';

/** Choices drawn from a seed: the same name gives the same choices on every machine, so that a case can be made again. */
export interface Draw {
  /** A whole number from 0 up to, not including, `below`. */
  int: (below: number) => number;
  chance: (share: number) => boolean;
  pick: <T>(from: readonly T[]) => T;
  bytes: (count: number) => Uint8Array;
  /** So many things, each made anew. */
  many: <T>(count: number, make: (index: number) => T) => T[];
}

/** The choices of one case. */
export function drawFrom(name: string): Draw {
  const { uniform } = seededRandom(name);
  const int = (below: number) => Math.floor(uniform() * below);
  return {
    int,
    chance: (share) => uniform() < share,
    pick: (from) => from[int(from.length)]!,
    bytes: (count) => Uint8Array.from({ length: count }, () => int(256)),
    many: (count, make) => Array.from({ length: count }, (_, i) => make(i)),
  };
}

/** Parts put together. */
export function joined(...parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

/** Values that programs stumble over, as numbers of 32 bits. */
const AWKWARD = [0, 1, 2, 7, 8, 255, 256, 32767, 65535, 65536, 0x7fffffff, 0x80000000, 0xfffffffe, 0xffffffff];

/** Some bytes with a few of them altered: single ones, awkward numbers, stretches wiped, moved, doubled, taken out or cut off. */
export function mutated(draw: Draw, source: Uint8Array): Uint8Array {
  let bytes: Uint8Array = source.slice();
  for (let left = 1 + draw.int(draw.chance(0.2) ? 40 : 4); left > 0 && bytes.length > 0; left--)
    bytes = mutation(draw, bytes);
  return bytes;
}

function mutation(draw: Draw, bytes: Uint8Array): Uint8Array {
  // Headers stand at the beginning: half the blows go there.
  const at = draw.int(draw.chance(0.5) ? Math.min(128, bytes.length) : bytes.length);
  const length = Math.min(1 + draw.int(draw.pick([4, 64, 2048])), bytes.length - at);
  switch (draw.int(8)) {
    case 0:
      bytes[at] = draw.int(256);
      return bytes;
    case 1:
      bytes[at]! ^= 1 << draw.int(8);
      return bytes;
    case 2: {
      if (at + 4 <= bytes.length)
        new DataView(bytes.buffer, bytes.byteOffset).setUint32(at, draw.pick(AWKWARD), draw.chance(0.5));
      return bytes;
    }
    case 3:
      bytes.fill(draw.pick([0, 255, draw.int(256)]), at, at + length);
      return bytes;
    case 4:
      bytes.copyWithin(draw.int(bytes.length), at, at + length);
      return bytes;
    case 5:
      return joined(bytes.subarray(0, at), bytes.subarray(at + length));
    case 6:
      return joined(bytes.subarray(0, at + length), bytes.subarray(at));
    default:
      return draw.chance(0.5) ? bytes.slice(0, draw.int(bytes.length + 1)) : joined(bytes, draw.bytes(draw.int(64)));
  }
}

/** The beginning of one and the end of another. */
export function spliced(draw: Draw, first: Uint8Array, second: Uint8Array): Uint8Array {
  return joined(first.subarray(0, draw.int(first.length + 1)), second.subarray(draw.int(second.length + 1)));
}
