import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { encodeWav } from '../src/audio/encode-wav.ts';
import { type ListeningPair, listeningPair } from '../src/audio/listening-pair.ts';
import type { Response } from '../src/audio/response.ts';
import type { ListeningClips, TakeResult } from '../src/report/results.ts';
import { directEnergy } from '../src/room/late-level.ts';
import type { Change } from '../src/statistics/finding.ts';
import { alignTake } from './align.ts';
import { normaliseTake, openTake } from './normalise.ts';

/** A pair of clips and what the report says of it. */
export interface PreparedPair {
  pair: ListeningPair;
  entry: ListeningClips;
}

/**
 * One pair of clips for each comparison: a clap from before and one from after, from the first position both stages have.
 * A comparison without such claps has none.
 */
export async function prepareListening(
  folder: string,
  takes: readonly TakeResult[],
  changes: readonly Change[],
): Promise<PreparedPair[]> {
  const pairs = await Promise.all(changes.map((change) => pairOf(folder, takes, change)));
  return pairs.filter((pair) => pair !== null);
}

async function pairOf(folder: string, takes: readonly TakeResult[], change: Change): Promise<PreparedPair | null> {
  const usable = takes.filter((take) => take.used && take.responses.some((response) => response.used));
  const of = (stage: string) => usable.filter((take) => take.stage === stage);
  const before = of(change.from).find((take) => of(change.to).some(({ position }) => position === take.position));
  const after = before && of(change.to).find(({ position }) => position === before.position);
  if (!before || !after) return null;
  const responses = await Promise.all([before, after].map((take) => firstResponse(folder, take)));
  const [one, other] = responses;
  if (!one || !other) return null;
  const direct = [one, other].map(({ samples, rate_hz, zero_sample }) => directEnergy(samples, rate_hz, zero_sample));
  const pair = listeningPair([one, other], [direct[0]!, direct[1]!]);
  const name = `${change.from}--${change.to}`;
  const entry: ListeningClips = {
    from: change.from,
    to: change.to,
    position: before.position,
    matched_by: 'direct-sound',
    clips: [before, after].map((take, i) => ({
      file: `listen/${name}-${i === 0 ? 'before' : 'after'}.wav`,
      recording: take.file,
      onset_s: [one, other][i]!.onset_s,
      gain_db: pair.gain_db[i]!,
    })) as ListeningClips['clips'],
  };
  return { pair, entry };
}

/** The first usable response of a take, cut from the recording once more. */
async function firstResponse(folder: string, take: TakeResult): Promise<Response | null> {
  const { file, stage, position, kind, sha256 } = take;
  const opened = await openTake(folder, { file, stage, position, kind, sha256, channel: take.channel });
  if ('fault' in opened) return null;
  const normalised = normaliseTake(opened.sound, take.channel ?? 1);
  if (normalised === null || kind === null) return null;
  return alignTake(normalised, { kind, source: null }).responses.find((response) => response.used) ?? null;
}

/** Writes the clips into the folder of a report, as 24-bit WAV. */
export async function writeClips(report: string, pairs: readonly PreparedPair[]): Promise<void> {
  for (const { pair, entry } of pairs) {
    for (const i of [0, 1] as const) {
      await writeFile(join(report, entry.clips[i].file), encodeWav(pair.clips[i], pair.rate_hz[i], 24));
    }
  }
}
