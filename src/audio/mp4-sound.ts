/** What an MP4 or QuickTime file says of its first sound track. */
export interface Mp4Sound {
  /** Four-letter code of the coding, such as mp4a or alac. */
  codec: string;
  seconds: number;
}

/** Codes of the sample entries whose decoding gives back what was recorded. */
const LOSSLESS = new Set([
  'alac',
  'fLaC',
  'lpcm',
  'ipcm',
  'fpcm',
  'sowt',
  'twos',
  'in24',
  'in32',
  'fl32',
  'fl64',
  'raw ',
  'NONE',
]);

/** Whether the coding of a sound track, named by its four-letter code, keeps every sample. */
export function isLosslessCodec(codec: string): boolean {
  return LOSSLESS.has(codec);
}

/**
 * The first sound track of an ISO base media file: its sample entry's code and the duration its header states (ISO/IEC 14496-12:2015,
 * 8.4.2, 8.4.3, 8.5.2). null where the file holds no readable sound track.
 */
export function mp4Sound(bytes: Uint8Array): Mp4Sound | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const file = { view, start: 0, end: bytes.length };
  for (const movie of boxes(file, 'moov')) {
    for (const track of boxes(movie, 'trak')) {
      for (const media of boxes(track, 'mdia')) {
        const handler = boxes(media, 'hdlr')[0];
        const header = boxes(media, 'mdhd')[0];
        if (!handler || !header || letters(view, handler.start + 8) !== 'soun') continue;
        const table = boxes(media, 'minf')
          .flatMap((box) => boxes(box, 'stbl'))
          .flatMap((box) => boxes(box, 'stsd'))[0];
        if (!table || table.start + 16 > table.end) continue;
        return { codec: letters(view, table.start + 12), seconds: duration_s(view, header) };
      }
    }
  }
  return null;
}

interface Box {
  view: DataView;
  /** First byte of the content. */
  start: number;
  end: number;
}

function letters(view: DataView, at: number): string {
  if (at + 4 > view.byteLength) return '';
  return String.fromCharCode(...[0, 1, 2, 3].map((i) => view.getUint8(at + i)));
}

/** Boxes of one kind directly inside another: size in four bytes (1: eight more follow; 0: to the end), then four letters. */
function boxes({ view, start, end }: Box, kind: string): Box[] {
  const found: Box[] = [];
  let at = start;
  while (at + 8 <= end) {
    let size = view.getUint32(at);
    let head = 8;
    if (size === 1 && at + 16 <= end) [size, head] = [Number(view.getBigUint64(at + 8)), 16];
    if (size === 0) size = end - at;
    if (size < head) return found;
    if (letters(view, at + 4) === kind) found.push({ view, start: at + head, end: Math.min(end, at + size) });
    at += size;
  }
  return found;
}

function duration_s(view: DataView, { start, end }: Box): number {
  if (start + 20 > end) return 0;
  const long = view.getUint8(start) === 1;
  if (long && start + 32 > end) return 0;
  const scale = view.getUint32(start + (long ? 20 : 12));
  const length = long ? Number(view.getBigUint64(start + 24)) : view.getUint32(start + 16);
  return scale > 0 ? length / scale : 0;
}
