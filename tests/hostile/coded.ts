import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { type Draw, joined, mutated, spliced } from './draw.ts';

const FOLDER = join(import.meta.dirname, '..', 'reference', 'coded-audio');

/** Sound files of every coding that is read, by name. Read once. */
export const CODED: ReadonlyMap<string, Uint8Array> = new Map(
  readdirSync(FOLDER)
    .filter((name) => /\.(?:flac|mp3|aac|m4a|ogg|opus|mp4|mov)$/.test(name))
    .sort()
    .map((name) => [name, new Uint8Array(readFileSync(join(FOLDER, name)))]),
);

/** A damaged sound file of one coding: altered, cut off, joined with another, or with the beginning of one and the body of another. */
export function hostileCoded(draw: Draw, name: string): Uint8Array {
  const whole = CODED.get(name)!;
  switch (draw.int(8)) {
    case 0:
      return whole.slice(0, draw.int(whole.length + 1));
    case 1:
      return spliced(draw, whole, CODED.get(draw.pick([...CODED.keys()]))!);
    case 2: {
      const short = whole.slice(0, draw.int(whole.length));
      return mutated(draw, joined(short, whole.subarray(draw.int(whole.length))));
    }
    default:
      return mutated(draw, whole);
  }
}

/** Four letters in the place of a box's kind, and what to put some bytes behind them: numbers that a reader of MP4 counts by. */
const BOXES = [
  'stsz',
  'stsc',
  'stco',
  'stts',
  'mdhd',
  'mvhd',
  'hdlr',
  'stsd',
  'esds',
  'alac',
  'elst',
  'moov',
  'trak',
  'mdia',
  'minf',
  'stbl',
  'ftyp',
  'mdat',
  'tkhd',
];
const NUMBERS = [0, 1, 2, 8, 255, 0xffff, 0x10000, 0xffffff, 0x7fffffff, 0x80000000, 0xffffffff];

/** An MP4 file in which the boxes themselves lie: their sizes, their counts and their kinds. */
export function hostileMp4(draw: Draw): Uint8Array {
  const name = draw.pick([...CODED.keys()].filter((one) => /\.(m4a|mp4|mov)$/.test(one)));
  const bytes = CODED.get(name)!.slice();
  const view = new DataView(bytes.buffer);
  for (let left = 1 + draw.int(3); left > 0; left--) {
    const at = indexOf(bytes, draw.pick(BOXES));
    if (at < 0) continue;
    const place = at + draw.pick([-4, 4, 8, 8, 12, 12, 16, 20, 24]);
    if (place >= 0 && place + 4 <= bytes.length) view.setUint32(place, draw.pick(NUMBERS));
    if (draw.chance(0.1)) bytes.set(Buffer.from(draw.pick(BOXES)), at);
  }
  return draw.chance(0.2) ? bytes.slice(0, draw.int(bytes.length + 1)) : bytes;
}

function indexOf(bytes: Uint8Array, letters: string): number {
  return Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length).indexOf(letters);
}

/** Bytes that begin like some coding and go on as chance has it. */
export function hostileNoise(draw: Draw): Uint8Array {
  const starts = [
    'RIFF\u0010\u0000\u0000\u0000WAVE',
    'fLaC',
    'OggS',
    'ID3\u0003\u0000\u0000\u0000\u0000\u0000\u0005',
    '\u00ff\u00fb\u0090\u0044',
    '\u00ff\u00f1\u004c\u0080',
    '\u0000\u0000\u0000\u0018ftypM4A ',
    'FORM',
    'caff',
    '#!AMR\n',
    '\u001aE\u00df\u00a3',
    '',
  ];
  return joined(
    new Uint8Array(Buffer.from(draw.pick(starts), 'latin1')),
    draw.bytes(draw.int(draw.pick([4, 40, 2000]))),
  );
}
