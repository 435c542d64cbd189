/** One table that a decoder counts by, wherever in the file's structure it stands. */
interface Table {
  /** Four letters. */
  kind: string;
  /** First byte of the content. */
  at: number;
  /** As far as its box says that it reaches, and never beyond the file. */
  end: number;
}

/** Chunks times entries that say how many samples a chunk holds: decoders search the one for each of the other. */
const MOST_SEARCHES = 200_000_000;

/**
 * Why the tables of an MP4 or QuickTime file (ISO/IEC 14496-12, 8.6 to 8.8) cannot be true: they count more samples than there is room
 * for in table or file. A decoder that believed them would fill memory with nothing. null where nothing speaks against them.
 */
export function mp4Contradiction(bytes: Uint8Array): string | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const tables = tablesOf(view);
  let [most_chunks, most_runs] = [0, 0];
  for (const { kind, at, end } of tables) {
    const count = countOf(view, { kind, at, end });
    const room = Math.max(0, end - at - (kind === 'stsz' ? 12 : 8));
    if (kind === 'stsz' || kind === 'trun') {
      const each_bytes = kind === 'stsz' ? (word(view, at + 4) === 0 ? 4 : 0) : runEntryBytes(word(view, at));
      if (count * each_bytes > room || count > bytes.length) return LIES;
      if (kind === 'stsz' && sampleBytes(view, at, count) > bytes.length) return LIES;
    }
    if (kind === 'stco' && count * 4 > room) return LIES;
    if (kind === 'co64' && count * 8 > room) return LIES;
    if ((kind === 'stsc' || kind === 'elst') && count * 12 > room) return LIES;
    if (kind === 'stts' && count * 8 > room) return LIES;
    if (kind === 'stco' || kind === 'co64') most_chunks = Math.max(most_chunks, count);
    if (kind === 'stsc') most_runs = Math.max(most_runs, count);
  }
  return most_chunks * most_runs > MOST_SEARCHES ? LIES : null;
}

const LIES = 'its tables count more sound than there is room for';

/** The longest entry of each coding in samples; of uncompressed sound and FLAC, counted otherwise. */
const LONGEST: Readonly<Record<string, number>> = {
  // Twice as many with spectral band replication, which the tables do not tell.
  mp4a: 1024,
  '.mp3': 1152,
  Opus: 5760,
  samr: 160,
  sawb: 320,
  'ac-3': 1536,
  'ec-3': 1536,
  dtsc: 4096,
  dtsh: 4096,
  dtsl: 4096,
  dtse: 4096,
};

/**
 * The most samples a channel that the tables can stand for, where they do not contradict themselves. Uncompressed sound has no more samples than
 * the file has bytes.
 */
export function mp4MostFrames(bytes: Uint8Array): number {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const tables = tablesOf(view);
  const longest = tables.map(({ kind, at }) => (kind === 'alac' ? word(view, at + 4) : (LONGEST[kind] ?? 0)));
  const counts = tables.filter(({ kind }) => kind === 'stsz').map((table) => countOf(view, table));
  const runs = tables.filter(({ kind }) => kind === 'trun').map((table) => countOf(view, table));
  const entries = Math.max(0, ...counts) + runs.reduce((sum, count) => sum + count, 0);
  return Math.max(bytes.length, entries * Math.max(0, ...longest));
}

/**
 * All that has the name of a table or coding outside the sound itself, in whatever box: readers find them in more places than they should be. The boxes
 * at the top are stepped through as a decoder does it.
 */
function tablesOf(view: DataView): Table[] {
  const found: Table[] = [];
  for (let box = 0; box + 8 <= view.byteLength; ) {
    let size = view.getUint32(box);
    if (size === 0) size = view.byteLength - box;
    if (size === 1) size = box + 16 <= view.byteLength ? Math.max(16, view.getUint32(box + 12)) : 16;
    const end = Math.min(view.byteLength, box + Math.max(8, size));
    if (letters(view, box + 4) !== 'mdat') {
      for (let name = box + 4; name + 4 <= end; name++) {
        const kind = letters(view, name);
        if (!WANTED.has(kind)) continue;
        const stated = view.getUint32(name - 4);
        found.push({ kind, at: name + 4, end: Math.min(end, stated < 8 ? end : name - 4 + stated) });
      }
    }
    box = end;
  }
  return found;
}

const WANTED: ReadonlySet<string> = new Set([
  'stsz',
  'stco',
  'co64',
  'stsc',
  'stts',
  'elst',
  'trun',
  'alac',
  ...Object.keys(LONGEST),
]);

function countOf(view: DataView, { kind, at }: Table): number {
  return word(view, at + (kind === 'stsz' ? 8 : 4));
}

/** What all entries of a table of sizes come to. */
function sampleBytes(view: DataView, at: number, count: number): number {
  const each = word(view, at + 4);
  if (each > 0) return each * count;
  let sum = 0;
  for (let i = 0; i < count; i++) sum += word(view, at + 12 + 4 * i);
  return sum;
}

/** Bytes of one entry of a track run, by its flags. */
function runEntryBytes(flags: number): number {
  return 4 * [0x100, 0x200, 0x400, 0x800].filter((flag) => (flags & flag) !== 0).length;
}

function word(view: DataView, at: number): number {
  return at + 4 <= view.byteLength ? view.getUint32(at) : 0;
}

function letters(view: DataView, at: number): string {
  let four = '';
  for (let i = 0; i < 4; i++) four += String.fromCharCode(view.getUint8(at + i));
  return four;
}
