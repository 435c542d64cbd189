import { type Draw, joined } from './draw.ts';

/** What may be wrong with a WAV file, put together chunk by chunk (Microsoft, 1991; RF64: EBU Tech 3306, 2009). */
interface WavPlan {
  container: 'RIFF' | 'RIFX' | 'RF64' | 'BW64' | 'RIFD';
  littleEndian: boolean;
  tag: number;
  channels: number;
  rate_hz: number;
  bits: number;
  blockAlign: number;
  extensible: boolean;
  formatSize: number;
}

const SIZES = [0, 1, 2, 3, 15, 16, 17, 100, 65535, 0x7fffffff, 0xfffffff0, 0xffffffff];
const CONTAINERS = ['RIFF', 'RIFF', 'RIFF', 'RIFX', 'RF64', 'BW64', 'RIFD'] as const;
const TAGS = [1, 1, 1, 1, 3, 3, 6, 7, 17, 0, 2, 0x55, 0xfffe, 0xffff];
const RATES = [8000, 8000, 8000, 16_000, 44_100, 0, 1, 7, 7999, 96_000, 384_000, 1_000_000, 1_000_001, 4_000_000_000];
const SPECIAL = [
  Number.NaN,
  Number.POSITIVE_INFINITY,
  Number.NEGATIVE_INFINITY,
  5e-324,
  -1e-310,
  1e30,
  -1e300,
  1e308,
  -0,
  0,
];

/**
 * A WAV file that may be whole, or lie in any number of its fields: sizes, channels, rate, bits, order and number of chunks, padding; or
 * hold samples that are no numbers; or be cut anywhere.
 *
 * @param sound full scale 1, used over and over as far as samples are needed
 */
export function hostileWav(draw: Draw, sound: Float64Array): Uint8Array {
  const lies = draw.chance(0.75);
  const odd = <T>(share: number, strange: () => T, plain: T): T => (lies && draw.chance(share) ? strange() : plain);
  const container = odd(0.4, () => draw.pick(CONTAINERS), 'RIFF');
  const tag = odd(0.5, () => draw.pick(TAGS), draw.pick([1, 1, 3]));
  const sound_bits = tag === 3 ? draw.pick([32, 64]) : draw.pick([8, 16, 24, 32]);
  const bits = odd(0.2, () => draw.pick([0, 1, 4, 12, 33, 40, 64, 65535]), sound_bits);
  const channels = odd(0.2, () => draw.pick([0, 3, 8, 64, 65, 255, 65535]), draw.pick([1, 1, 2]));
  const plan: WavPlan = {
    container,
    littleEndian: odd(0.05, () => draw.chance(0.5), container !== 'RIFX'),
    tag,
    channels,
    bits,
    rate_hz: odd(0.25, () => draw.pick(RATES), 8000),
    blockAlign: odd(0.15, () => draw.pick([0, 1, 3, 5, 65535]), ((bits >> 3) * channels) & 0xffff),
    extensible: draw.chance(0.2),
    formatSize: 0,
  };
  const format = formatChunk(draw, plan, lies);
  const data = dataChunk(draw, plan, { sound, lies });
  const extras = () =>
    draw.many(
      odd(0.3, () => 1 + draw.int(3), 0),
      () => extraChunk(draw, plan),
    );
  let chunks = [...extras(), format, ...extras(), data, ...extras()];
  if (container === 'RF64' || container === 'BW64') chunks.unshift(ds64Chunk(draw, plan, data.length - 8));
  if (lies && draw.chance(0.1)) chunks = [...chunks, draw.pick([format, data])];
  if (lies && draw.chance(0.1)) chunks = chunks.toSorted(() => draw.int(3) - 1);
  if (lies && draw.chance(0.1)) chunks = chunks.filter(() => draw.chance(0.7));
  const body = joined(...chunks);
  const head = new Uint8Array(12);
  const view = new DataView(head.buffer);
  letters(head, 0, container);
  view.setUint32(
    4,
    odd(0.2, () => draw.pick(SIZES), body.length + 4),
    plan.littleEndian,
  );
  letters(
    head,
    8,
    odd(0.02, () => 'WAVX', 'WAVE'),
  );
  const file = joined(head, body);
  return lies && draw.chance(0.2) ? file.slice(0, draw.int(file.length + 1)) : file;
}

function letters(bytes: Uint8Array, at: number, four: string): void {
  for (let i = 0; i < 4; i++) bytes[at + i] = four.charCodeAt(i);
}

/** A chunk whose stated size is true unless another is given, padded to an even length. */
function chunk(
  id: string,
  content: Uint8Array,
  { littleEndian, size }: { littleEndian: boolean; size?: number },
): Uint8Array {
  const head = new Uint8Array(8);
  letters(head, 0, id);
  new DataView(head.buffer).setUint32(4, size ?? content.length, littleEndian);
  return joined(head, content, new Uint8Array(content.length % 2));
}

function formatChunk(draw: Draw, plan: WavPlan, lies: boolean): Uint8Array {
  const { littleEndian, extensible } = plan;
  const content = new Uint8Array(extensible ? 40 : draw.pick([16, 16, 18]));
  const view = new DataView(content.buffer);
  view.setUint16(0, extensible ? 0xfffe : plan.tag, littleEndian);
  view.setUint16(2, plan.channels, littleEndian);
  view.setUint32(4, plan.rate_hz, littleEndian);
  view.setUint32(8, plan.rate_hz * plan.blockAlign, littleEndian);
  view.setUint16(12, plan.blockAlign, littleEndian);
  view.setUint16(14, plan.bits, littleEndian);
  if (extensible) {
    view.setUint16(16, 22, littleEndian);
    view.setUint16(18, draw.pick([plan.bits, 0, 12, 65535]), littleEndian);
    view.setUint16(24, plan.tag, littleEndian);
  }
  const size = lies && draw.chance(0.08) ? draw.pick(SIZES) : content.length;
  return chunk('fmt ', content, { littleEndian, size });
}

function dataChunk(draw: Draw, plan: WavPlan, { sound, lies }: { sound: Float64Array; lies: boolean }): Uint8Array {
  const frames = draw.pick([0, 1, 2, 3, 40, 400, sound.length, sound.length]);
  const samples = Math.min(frames * Math.max(1, Math.min(plan.channels, 8)), 2 * sound.length);
  const silent = lies && draw.chance(0.05);
  const special = lies && draw.chance(0.1) ? draw.pick(SPECIAL) : null;
  const where = draw.int(Math.max(1, samples));
  const gain = lies && draw.chance(0.1) ? draw.pick([1e-320, 1e-160, 1e-30, 1e30, 1e150, 1e300]) : 1;
  const valueAt = (i: number): number => {
    if (special !== null && i === where) return special;
    return silent ? 0 : gain * sound[i % sound.length]!;
  };
  const content = encoded(samples, plan, valueAt);
  const loose = lies && draw.chance(0.1) ? joined(content, draw.bytes(1 + draw.int(7))) : content;
  const size = lies && draw.chance(0.12) ? draw.pick(SIZES) : loose.length;
  return chunk('data', loose, { littleEndian: plan.littleEndian, size });
}

function encoded(count: number, { tag, bits, littleEndian }: WavPlan, valueAt: (i: number) => number): Uint8Array {
  const width = [8, 16, 24, 32, 64].includes(bits) ? bits / 8 : 2;
  const content = new Uint8Array(count * width);
  const view = new DataView(content.buffer);
  const clip = (value: number, full: number) => Math.max(-full, Math.min(full - 1, Math.round(value * full))) || 0;
  for (let i = 0; i < count; i++) {
    const value = valueAt(i);
    if (width === 1) content[i] = clip(value, 128) + 128;
    else if (width === 2) view.setInt16(2 * i, clip(value, 32_768), littleEndian);
    else if (width === 3) {
      const whole = clip(value, 8_388_608);
      view.setInt8(3 * i + (littleEndian ? 2 : 0), whole >> 16);
      view.setUint16(3 * i + (littleEndian ? 0 : 1), whole & 0xffff, littleEndian);
    } else if (width === 8) view.setFloat64(8 * i, value, littleEndian);
    else if (tag === 3) view.setFloat32(4 * i, value, littleEndian);
    else view.setInt32(4 * i, clip(value, 2_147_483_648), littleEndian);
  }
  return content;
}

function extraChunk(draw: Draw, { littleEndian }: WavPlan): Uint8Array {
  const id = draw.pick([
    'LIST',
    'bext',
    'JUNK',
    'fact',
    'iXML',
    'id3 ',
    'PEAK',
    '\u0000\u0000\u0000\u0000',
    'ds64',
    'cue ',
  ]);
  const content = draw.bytes(draw.int(draw.pick([1, 20, 300])));
  return draw.chance(0.1)
    ? chunk(id, content, { littleEndian, size: draw.pick(SIZES) })
    : chunk(id, content, { littleEndian });
}

function ds64Chunk(draw: Draw, { littleEndian }: WavPlan, dataBytes: number): Uint8Array {
  const content = new Uint8Array(28);
  const view = new DataView(content.buffer);
  const stated = draw.chance(0.3) ? draw.pick([0, 1, 2 ** 33, 2 ** 53]) : dataBytes;
  view.setBigUint64(0, BigInt(stated), littleEndian);
  view.setBigUint64(8, BigInt(stated), littleEndian);
  return chunk('ds64', content, { littleEndian });
}
