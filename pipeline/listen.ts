import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { encodeWav } from '../src/audio/encode-wav.ts';
import { type ListeningPair, listeningPair } from '../src/audio/listening-pair.ts';
import { passagePair } from '../src/audio/passage-pair.ts';
import type { Response } from '../src/audio/response.ts';
import type { TakeKind } from '../src/project/project.ts';
import { passagePairs } from '../src/report/passage-changes.ts';
import type { ListeningClips, TakeResult } from '../src/report/results.ts';
import { directEnergy } from '../src/room/late-level.ts';
import type { Change } from '../src/statistics/finding.ts';
import { alignTake } from './align.ts';
import { type NormalisedTake, normaliseTake, openTake } from './normalise.ts';
import { readSweep } from './sweep-file.ts';

/** A pair of clips and what the report says of it. */
export interface PreparedPair {
  pair: ListeningPair;
  entry: ListeningClips;
}

/** Kinds whose responses can be cut from one recording. */
const HEARD: ReadonlySet<TakeKind | null> = new Set(['impulse', 'response', 'sweep']);

/**
 * The clips of each comparison: a clap from before and one from after, from the first position both stages have, and, where both have
 * speech or music, the passages of the first such position. A comparison without either has none.
 */
export async function prepareListening(
  folder: string,
  takes: readonly TakeResult[],
  changes: readonly Change[],
): Promise<PreparedPair[]> {
  const pairs: PreparedPair[] = [];
  for (const change of changes) {
    const made = [await clapPair(folder, takes, change), await speechPair(folder, takes, change)];
    pairs.push(...made.filter((pair) => pair !== null));
  }
  return pairs;
}

async function clapPair(folder: string, takes: readonly TakeResult[], change: Change): Promise<PreparedPair | null> {
  const usable = takes.filter(
    (take) => take.used && HEARD.has(take.kind) && take.responses.some((response) => response.used),
  );
  const of = (stage: string) => usable.filter((take) => take.stage === stage);
  const before = of(change.from).find((take) => of(change.to).some(({ position }) => position === take.position));
  const after = before && of(change.to).find(({ position }) => position === before.position);
  if (!before || !after) return null;
  const [one, other] = await Promise.all([before, after].map((take) => firstResponse(folder, take)));
  if (!one || !other) return null;
  const direct = [one, other].map(({ samples, rate_hz, zero_sample }) => directEnergy(samples, rate_hz, zero_sample));
  const pair = listeningPair([one, other], [direct[0]!, direct[1]!]);
  const onsets_s = [one.onset_s, other.onset_s] as const;
  return prepared(pair, { change, takes: [before, after], onsets_s, matched_by: 'direct-sound' });
}

async function speechPair(folder: string, takes: readonly TakeResult[], change: Change): Promise<PreparedPair | null> {
  const found = passagePairs(takes, change)[0];
  if (!found) return null;
  const [before, after] = await Promise.all(found.map((take) => reopened(folder, take)));
  const pair = before && after && passagePair(before, after);
  return pair ? prepared(pair, { change, takes: found, onsets_s: [0, 0], matched_by: 'loudness' }) : null;
}

function prepared(
  pair: ListeningPair,
  of: {
    change: Change;
    takes: [before: TakeResult, after: TakeResult];
    onsets_s: readonly [number, number];
    matched_by: ListeningClips['matched_by'];
  },
): PreparedPair {
  const { from, to } = of.change;
  const name = `${from}--${to}${of.matched_by === 'loudness' ? '-passage' : ''}`;
  const clip = (i: 0 | 1) => ({
    file: `listen/${name}-${i === 0 ? 'before' : 'after'}.wav`,
    recording: of.takes[i].file,
    onset_s: of.onsets_s[i],
    gain_db: pair.gain_db[i],
  });
  const { position } = of.takes[0];
  return { pair, entry: { from, to, position, matched_by: of.matched_by, clips: [clip(0), clip(1)] } };
}

/** The first usable response of a take, cut from the recording once more. */
async function firstResponse(folder: string, take: TakeResult): Promise<Response | null> {
  const { kind } = take;
  const normalised = await reopened(folder, take);
  if (normalised === null || kind === null) return null;
  const aligned = alignTake(normalised, { kind, source: null, sweep: await readSweep(folder) });
  return aligned.responses.find((response) => response.used) ?? null;
}

async function reopened(folder: string, take: TakeResult): Promise<NormalisedTake | null> {
  const { file, stage, position, kind, sha256, channel } = take;
  const opened = await openTake(folder, { file, stage, position, kind, sha256, channel });
  return 'sound' in opened ? normaliseTake(opened.sound, channel ?? 1) : null;
}

/** Writes the clips into the folder of a report, as 24-bit WAV. */
export async function writeClips(report: string, pairs: readonly PreparedPair[]): Promise<void> {
  for (const { pair, entry } of pairs) {
    for (const i of [0, 1] as const) {
      await writeFile(join(report, entry.clips[i].file), encodeWav(pair.clips[i], pair.rate_hz[i], 24));
    }
  }
}
