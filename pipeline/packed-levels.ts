/**
 * Levels as they are kept: whole thousandths of a decibel, four bytes each, in base64. A decay has hundreds of them in every band; as
 * text they take half as much room again, and reading them back took longer than all else that a kept take needs.
 */
export interface PackedLevels {
  level_mdb: string;
}

const THOUSANDTHS = 1000;

/** Packs the levels of some data, in dB and finite, to the nearest thousandth. */
export function packed<Data extends { level_db: readonly number[] }>(
  data: Data,
): Omit<Data, 'level_db'> & PackedLevels {
  const { level_db, ...rest } = data;
  const bytes = Buffer.alloc(4 * level_db.length);
  for (let i = 0; i < level_db.length; i++) bytes.writeInt32LE(Math.round(THOUSANDTHS * level_db[i]!), 4 * i);
  return { ...rest, level_mdb: bytes.toString('base64') };
}

/** The data with its levels as numbers again. */
export function unpacked<Data extends PackedLevels>(data: Data): Omit<Data, 'level_mdb'> & { level_db: number[] } {
  const { level_mdb, ...rest } = data;
  const bytes = Buffer.from(level_mdb, 'base64');
  const level_db: number[] = new Array(bytes.length >> 2);
  for (let i = 0; i < level_db.length; i++) level_db[i] = bytes.readInt32LE(4 * i) / THOUSANDTHS;
  return { ...rest, level_db };
}
