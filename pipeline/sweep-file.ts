import { lstat } from 'node:fs/promises';
import { join } from 'node:path';
import { encodeWav } from '../src/audio/encode-wav.ts';
import type { Diagnostic } from '../src/project/diagnostic.ts';
import * as messages from '../src/project/messages.ts';
import { readFormat } from '../src/report/read-results.ts';
import { DEFAULT_SWEEP, type SweepDescription, sweepDescriptionSchema, sweepSignal } from '../src/signal/sweep.ts';
import { readRegular } from './read-regular.ts';
import { systemReason } from './system-reason.ts';
import { replaceFile } from './write-files.ts';

/** The sweep to play and its description, in the project folder. */
export const SWEEP_WAV = 'sweep.wav';
export const SWEEP_JSON = 'sweep.json';
/** It has some hundred. */
const LARGEST_JSON_BYTES = 1_000_000;

/** Writes the description, then the sweep; neither is ever seen half written. Throws CannotWrite. */
export async function writeSweep(folder: string, sweep: SweepDescription): Promise<void> {
  await replaceFile(join(folder, SWEEP_JSON), `${JSON.stringify(sweep, null, 2)}\n`);
  await replaceFile(join(folder, SWEEP_WAV), encodeWav(sweepSignal(sweep), sweep.rate_hz, 24));
}

export type SweepFound = { sweep: SweepDescription | null } | { fault: Diagnostic };

/**
 * The description of the sweep that belongs to a project, from `sweep.json` in its folder: null where there is none, a diagnostic where
 * it cannot be read or is not what the tool wrote.
 */
export async function readSweep(folder: string): Promise<SweepFound> {
  const fault = (message: string): SweepFound => {
    return { fault: { file: SWEEP_JSON, line: null, column: null, severity: 'error', message } };
  };
  let text: string;
  try {
    const path = join(folder, SWEEP_JSON);
    if ((await lstat(path)).isSymbolicLink()) return fault(messages.sweepIsLink());
    text = (await readRegular(path, { most_bytes: LARGEST_JSON_BYTES })).toString('utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return { sweep: null };
    return fault(`cannot be opened (${systemReason(error)}): put back the file that was written beside the sweep`);
  }
  const parsed = sweepDescriptionSchema.safeParse(jsonOf(text));
  if (parsed.success) return { sweep: parsed.data };
  const found = readFormat(text, DEFAULT_SWEEP.format, () => null);
  if (found.is === 'newer') return fault(messages.sweepIsNewer(found.format));
  const { path, message } = parsed.error.issues[0]!;
  const why = path.length > 0 ? `${path.join('.')}: ${message}` : 'it is cut short or was altered';
  return fault(`does not describe a sweep (${why}): put back the file that was written beside the sweep`);
}

function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
