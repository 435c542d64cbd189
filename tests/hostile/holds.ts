import type { Decoded } from '../../src/audio/decode-wav.ts';
import type { Fault } from '../../src/audio/faults.ts';

/** What is wrong with the outcome of reading a sound file; null where it is a sound, or one line that says what and how to mend it. */
export function faultOfDecoded(decoded: Decoded): string | null {
  if (!decoded.ok) return faultOfRefusal(decoded.message);
  const { rate_hz, channels, bits } = decoded.sound;
  if (!(rate_hz >= 1 && rate_hz <= 1_000_000)) return `a rate of ${rate_hz} Hz`;
  if (!(bits >= 1 && bits <= 64)) return `${bits} bits`;
  if (channels.length < 1 || channels.length > 64) return `${channels.length} channels`;
  const frames = channels[0]!.length;
  if (frames < 1 || channels.some(({ length }) => length !== frames)) return 'channels of no or unequal length';
  const broken = channels.some((samples) => !samples.every(Number.isFinite));
  return broken ? 'a sample that is no number' : null;
}

/** What is wrong with what is said of a take; null where nothing is. Only what is refused needs a mend. */
export function faultOfFault({ severity, message }: Fault): string | null {
  return severity === 'reject' ? faultOfRefusal(message) : faultOfWords(message);
}

/** A refusal says what to do after a semicolon or colon. */
export function faultOfRefusal(message: string): string | null {
  return faultOfWords(message) ?? (/[;:] ?\S/.test(message) ? null : `no mend: ${message}`);
}

/** What is said is one line, and holds nothing from inside the program. */
export function faultOfWords(message: string): string | null {
  if (/[\n\r]/.test(message)) return `more than one line: ${message}`;
  const inside = /undefined|\[object|\bNaN\b|Infinity|Error\b|\bnull\b/.test(message);
  return inside ? `words of the program: ${message}` : null;
}

/** Where in some data a number is not finite or a value undefined; null where all is well. JSON would hide both. */
export function notFinite(value: unknown, path = 'result'): string | null {
  if (typeof value === 'number') return Number.isFinite(value) ? null : `${path} is ${value}`;
  if (typeof value !== 'object' || value === null) return null;
  if (ArrayBuffer.isView(value)) {
    const samples = value as Float64Array;
    return samples.every(Number.isFinite) ? null : `${path} holds what is no number`;
  }
  for (const [key, inner] of Object.entries(value)) {
    const found = notFinite(inner, `${path}.${key}`);
    if (found !== null) return found;
  }
  return null;
}
