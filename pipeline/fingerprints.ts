import { createHash } from 'node:crypto';
import type { BigIntStats } from 'node:fs';
import { type FileHandle, open, realpath } from 'node:fs/promises';
import { join } from 'node:path';
import pLimit from 'p-limit';
import { keepFolder, look, put, type StepInputs } from './keep.ts';
import { systemReason } from './system-reason.ts';

/** Fingerprints of the files in a project folder, which are what kept results go by. */
export interface Fingerprints {
  /** SHA-256 (FIPS 180-4) of the bytes of a file in hexadecimal; null where it cannot be read, or is too long to be. */
  of: (file: string) => Promise<string | null>;
  /** Keeps those taken since, with what the system says of each file. */
  keep: () => Promise<void>;
}

/** A fingerprint, and what the system said of the file it was taken of. */
interface Known {
  stamp: string;
  sha256: string;
}

const STEP: StepInputs = { step: 'fingerprints', version: 1, inputs: {} };
const FILES_AT_ONCE = 4;
/** Longer files are not read, so nothing of theirs is kept. */
const LONGEST_BYTES = 120_000_000;
/** A stream of smaller pieces takes longer, and so do pieces that are made anew for every file: memory is cleared before it is given out. */
const PIECE_BYTES = 262_144;
/** Some systems note times to two seconds only: of a file that changed so lately they cannot tell whether it has changed again. */
const SETTLED_MS = 2000;

/**
 * Fingerprints of the files in a project folder. One that was kept counts only while the file is the same on the disk, as long, and neither
 * written nor altered in any other way since, by the times of the system: that of the last change, unlike that of the last writing, no
 * ordinary program can set. Whatever is in doubt is read.
 *
 * @param folder the project folder; nothing is read of it before it is asked for a fingerprint
 */
export function openFingerprints(folder: string): Fingerprints {
  let opened: ReturnType<typeof whatIsKnown> | null = null;
  const found = new Map<string, Known>();
  const limit = pLimit(FILES_AT_ONCE);
  const idle: Buffer[] = [];

  const fingerprint = async (file: FileHandle, name: string, before: Known | undefined): Promise<string | null> => {
    const opened_ms = Date.now();
    const stats = await file.stat({ bigint: true });
    if (stats.size > LONGEST_BYTES) return null;
    const stamp = stampOf(stats);
    if (before?.stamp === stamp) {
      found.set(name, before);
      return before.sha256;
    }
    const piece = idle.pop() ?? Buffer.allocUnsafeSlow(PIECE_BYTES);
    const sha256 = await digestOf(file, piece);
    idle.push(piece);
    const settled = changed_ms(stats) < opened_ms - SETTLED_MS;
    if (settled && stampOf(await file.stat({ bigint: true })) === stamp) {
      found.set(name, { stamp, sha256 });
    }
    return sha256;
  };
  return {
    of: (name) =>
      limit(async () => {
        try {
          opened ??= whatIsKnown(folder);
          const { root, known } = await opened;
          const file = await open(join(root, name), 'r');
          try {
            return await fingerprint(file, name, known.get(name));
          } finally {
            await file.close();
          }
        } catch (fault) {
          systemReason(fault);
          return null;
        }
      }),
    keep: async () => {
      if (opened === null || found.size === 0) return;
      const { root, known } = await opened;
      if ([...found].every(([name, one]) => known.get(name) === one)) return;
      // By name, since files are read side by side.
      const sorted = [...found].sort(([a], [b]) => (a < b ? -1 : 1));
      await put(keepFolder(root), STEP, JSON.stringify(Object.fromEntries(sorted)));
    },
  };
}

async function whatIsKnown(folder: string): Promise<{ root: string; known: ReadonlyMap<string, Known> }> {
  const root = await realpath(folder);
  const kept = await look(keepFolder(root), STEP);
  try {
    return {
      root,
      known: new Map(kept ? Object.entries(JSON.parse(kept.toString('utf8')) as Record<string, Known>) : []),
    };
  } catch {
    // Whole, but nothing of ours.
    return { root, known: new Map() };
  }
}

/** What changes whenever a file is written, replaced or altered. */
function stampOf({ dev, ino, size, mtimeNs, ctimeNs }: BigIntStats): string {
  return [dev, ino, size, mtimeNs, ctimeNs].join('-');
}

function changed_ms({ mtimeMs, ctimeMs }: BigIntStats): number {
  return Number(mtimeMs > ctimeMs ? mtimeMs : ctimeMs);
}

async function digestOf(file: FileHandle, piece: Buffer): Promise<string> {
  const hash = createHash('sha256');
  for (;;) {
    const { bytesRead } = await file.read(piece, 0, piece.length);
    if (bytesRead === 0) return hash.digest('hex');
    hash.update(piece.subarray(0, bytesRead));
  }
}
