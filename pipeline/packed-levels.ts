/**
 * Levels as they are kept: whole thousandths of a decibel, four bytes each. A decay has hundreds of them in every band, three quarters of
 * all that is kept of a take. As text, even as text in base64, they took longer to read back than all the rest.
 */
export interface PackedLevels {
  /** So many levels of the bytes behind the text are its own, after those of what was packed before it. */
  levels: number;
}

interface Levelled {
  level_db: ArrayLike<number>;
}

const THOUSANDTHS = 1000;
const LEVEL_BYTES = Int32Array.BYTES_PER_ELEMENT;

/**
 * Packs data with levels in dB, finite, into bytes: how long the text is, the text, the levels. They are read on the machine that wrote them,
 * so in its own order of bytes.
 *
 * @param arrange gives what becomes the text, each data with levels handed to `packed`
 */
export function packLevels(
  arrange: (packed: <Data extends Levelled>(data: Data) => Omit<Data, 'level_db'> & PackedLevels) => unknown,
): Uint8Array {
  const all: ArrayLike<number>[] = [];
  const value = arrange(({ level_db, ...rest }) => {
    all.push(level_db);
    return { ...rest, levels: level_db.length };
  });
  const text = Buffer.from(JSON.stringify(value));
  const start = startOfLevels(text.length);
  const count = all.reduce((sum, { length }) => sum + length, 0);
  const bytes = new Uint8Array(start + LEVEL_BYTES * count);
  new Int32Array(bytes.buffer, 0, 1)[0] = text.length;
  bytes.set(text, LEVEL_BYTES);
  const levels_mdb = new Int32Array(bytes.buffer, start, count);
  let next = 0;
  for (const level_db of all) {
    for (let i = 0; i < level_db.length; i++) levels_mdb[next++] = Math.round(THOUSANDTHS * level_db[i]!);
  }
  return bytes;
}

/**
 * What was packed. Throws where the bytes are none that `packLevels` gave.
 *
 * @param arrange what becomes of the text, each data with levels handed to `unpacked` in the order in which it was packed
 */
export function unpackLevels<Packed, Value>(
  bytes: Uint8Array,
  arrange: (
    packed: Packed,
    unpacked: <Data extends PackedLevels>(data: Data) => Omit<Data, 'levels'> & { level_db: Float64Array },
  ) => Value,
): Value {
  const length = wholeNumbers(bytes.subarray(0, LEVEL_BYTES))[0]!;
  const levels_mdb = wholeNumbers(bytes.subarray(startOfLevels(length)));
  const text = Buffer.from(bytes.buffer, bytes.byteOffset + LEVEL_BYTES, length).toString('utf8');
  const packed: Packed = JSON.parse(text);
  let next = 0;
  return arrange(packed, ({ levels, ...rest }) => {
    const level_db = new Float64Array(levels);
    for (let i = 0; i < levels; i++) level_db[i] = levels_mdb[next++]! / THOUSANDTHS;
    return { ...rest, level_db };
  });
}

/** After the text, where numbers of four bytes may stand. */
function startOfLevels(text_bytes: number): number {
  return LEVEL_BYTES * Math.ceil((LEVEL_BYTES + text_bytes) / LEVEL_BYTES);
}

/** Copied first where they do not lie as numbers must. */
function wholeNumbers(bytes: Uint8Array): Int32Array {
  const { buffer, byteOffset, byteLength } = bytes.byteOffset % LEVEL_BYTES === 0 ? bytes : new Uint8Array(bytes);
  if (byteLength % LEVEL_BYTES !== 0) throw new RangeError('no levels');
  return new Int32Array(buffer, byteOffset, byteLength / LEVEL_BYTES);
}
