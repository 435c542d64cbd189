import type { BandWidth } from '../src/room/reading.ts';
import { hearTake, type TakeSettings } from './hear-take.ts';
import { isKept, keepFolder, keepPacked, type StepInputs } from './keep.ts';
import type { Pool } from './pool.ts';
import type { FoundTake } from './read.ts';
import { TakeMemory } from './take-memory.ts';
import {
  type AnalysedTake,
  joinedTake,
  partsBytes,
  type TakePartsBytes,
  takeOfBytes,
  thirdsBytes,
  thirdsOfBytes,
} from './take-parts.ts';

/** Raised whenever a take would be read otherwise than before. */
const ANALYSIS_VERSION = 9;

/** A take as it was analysed, and whether it was read for that. */
export type AnalysedNow = AnalysedTake & { ran: boolean };

/**
 * One take from file to readings: decoded, one channel chosen, cut into responses, each response read band by band. Kept by the
 * content of the recording, so a second run costs nothing; the third octaves are kept apart, so that `check` need not read them. What is
 * wrong with a take is a fault in its result, never thrown.
 *
 * @param options.settings what it is read with; a channel named for the take stands above that of the project
 * @param options.widths the octaves, or these and the third octaves
 * @param options.pool where it is read if it is not kept
 */
export async function analyseTake(
  folder: string,
  take: FoundTake,
  { settings, widths, pool }: { settings: TakeSettings; widths: readonly BandWidth[]; pool: Pool },
): Promise<AnalysedNow> {
  const own = settingsOf(take, settings);
  if (take.sha256 === null) return { ...(await readTake(folder, take, { settings: own, widths })), ran: true };
  let read: Promise<TakePartsBytes> | undefined;
  const make = async () => {
    read = pool.withTake(folder, take, (memory) => readIn(pool, { folder, take, settings: own, widths, memory }));
    return (await read).octaves;
  };
  const octaves = await keepPacked(keepFolder(folder), stepOf('analyse', take, own), { make, unpack: takeOfBytes });
  const here = placed(octaves.value, take);
  if (!widths.includes('third-octave')) return { ...here, ran: octaves.ran };
  const makeThirds = async () => {
    const beside = (await read)?.thirds;
    return (
      beside ?? pool.withTake(folder, take, (memory) => readThirdsIn(pool, { folder, take, settings: own, memory }))
    );
  };
  const thirds = await keepPacked(keepFolder(folder), stepOf('thirds', take, own), {
    make: makeThirds,
    unpack: thirdsOfBytes,
  });
  return { ...joinedTake({ octaves: here, thirds: thirds.value }), ran: octaves.ran || thirds.ran };
}

interface TakeToRead {
  folder: string;
  take: FoundTake;
  settings: TakeSettings;
  memory: TakeMemory;
}

/**
 * Listened to in this thread, measured in one of the pool's: each then compiles its own half of the code. With both halves in every
 * thread, a second thread was seen to gain nothing on the first fifty takes.
 */
async function readIn(
  pool: Pool,
  { folder, take, settings, widths, memory }: TakeToRead & { widths: readonly BandWidth[] },
): Promise<TakePartsBytes> {
  // A single thread that measures all bands is waited for: this one works out meanwhile what it can.
  const beforehand = pool.threads === 1 && widths.includes('third-octave') ? widths : null;
  const one = await hearTake(folder, take, { settings, memory, beforehand });
  if ('setAside' in one) return partsBytes(one.setAside, widths);
  return pool.run('measureHeard', { heard: one.heard, widths });
}

/** The third octaves alone of a take whose octaves were read before. */
async function readThirdsIn(pool: Pool, { folder, take, settings, memory }: TakeToRead): Promise<Uint8Array> {
  const one = await hearTake(folder, take, { settings, memory });
  return 'setAside' in one ? thirdsBytes([]) : pool.run('measureThirds', { heard: one.heard });
}

/** Reads a take in this thread, without looking at what is kept. */
export async function readTake(
  folder: string,
  take: FoundTake,
  { settings, widths }: { settings: TakeSettings; widths: readonly BandWidth[] },
): Promise<AnalysedTake> {
  const one = await hearTake(folder, take, { settings, memory: new TakeMemory() });
  if ('setAside' in one) return one.setAside;
  // Most takes are measured by another thread: this one loads it where it measures itself.
  const { readHeard } = await import('./read-heard.ts');
  return readHeard(one.heard, widths);
}

/** All that the readings of a take come from, besides where it lies. */
export function takeInputs(take: FoundTake, settings: TakeSettings): Record<string, unknown> {
  return stepOf('analyse', take, settingsOf(take, settings)).inputs;
}

/** Whether a take is kept, so that it need not be read. */
export async function isAnalysed(
  folder: string,
  take: FoundTake,
  { settings, widths }: { settings: TakeSettings; widths: readonly BandWidth[] },
): Promise<boolean> {
  const steps = widths.includes('third-octave') ? (['analyse', 'thirds'] as const) : (['analyse'] as const);
  const there = await Promise.all(
    steps.map((step) => isKept(keepFolder(folder), stepOf(step, take, settingsOf(take, settings)))),
  );
  return there.every(Boolean);
}

function settingsOf(take: FoundTake, settings: TakeSettings): TakeSettings {
  return { ...settings, channel: take.channel ?? settings.channel };
}

function stepOf(step: 'analyse' | 'thirds', take: FoundTake, settings: TakeSettings): StepInputs {
  const { file, sha256, kind, level_db = null, average = false } = take;
  const sweep = kind === null || kind === 'sweep' ? settings.sweep : null;
  const inputs = { sha256, kind, level_db, average, ...settings, sweep };
  return { step, version: ANALYSIS_VERSION, subject: file, inputs };
}

/** Kept results know the content only; where the file lies is the project's to say. */
function placed({ result, traces }: AnalysedTake, { file, stage, position }: FoundTake): AnalysedTake {
  const place = { file, stage, position };
  return { result: { ...result, ...place }, traces: traces.map((trace) => ({ ...trace, ...place })) };
}
