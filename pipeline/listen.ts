import pLimit from 'p-limit';
import { encodeWav } from '../src/audio/encode-wav.ts';
import { type HeardSound, listeningPair } from '../src/audio/listening-pair.ts';
import { passagePair } from '../src/audio/passage-pair.ts';
import { passagePairs } from '../src/report/passage-changes.ts';
import type { ListeningClips, ResponseResult, TakeResult } from '../src/report/results.ts';
import { directEnergy } from '../src/room/late-level.ts';
import type { Workspace } from '../src/signal/workspace.ts';
import type { Change } from '../src/statistics/finding.ts';
import { alignTake, WITH_RESPONSES } from './align.ts';
import { keep, keepFolder } from './keep.ts';
import { type NormalisedTake, normaliseTake, type OpenedTake, openTake, useTake } from './normalise.ts';
import { readSweep, type SweepFound } from './sweep-file.ts';
import { TakeMemory } from './take-memory.ts';

/** A pair of clips, as WAV files, and what the report says of it. */
export interface PreparedPair {
  wavs: [before: Uint8Array, after: Uint8Array];
  entry: ListeningClips;
}

/** What has to be known of a take to cut a clip from it. */
interface HeardTake extends Pick<TakeResult, 'file' | 'stage' | 'position' | 'kind' | 'sha256' | 'channel'> {
  /** The first response that is used; null: none, as of a passage. */
  response: HeardSpan | null;
}

/** Where a response is heard in its recording. */
interface HeardSpan {
  onset_s: number;
  end_s: number;
}

/** Two takes to make a pair of clips of. */
interface PairToMake {
  takes: [before: HeardTake, after: HeardTake];
  matched_by: ListeningClips['matched_by'];
  sweep: SweepFound;
}

/** A pair of clips as it is kept, its WAV files in base64. */
interface MadePair {
  wavs: [before: string, after: string];
  onsets_s: [before: number, after: number];
  gain_db: [before: number, after: number];
}

/** Raised whenever the same takes would give other clips. */
const CLIPS_VERSION = 2;
/** What a clip may have before the direct sound. */
const LEAD_S = 0.02;
/** A decay is over for the ear well before so many of its decay times; and nothing shorter than the second is worth a player. */
const HEARD_DECAYS = 1.5;
const SHORTEST_S = 0.5;
/** Where no decay time could be read. */
const UNKNOWN_DECAY_S = 1.5;

/**
 * The clips of each comparison: a clap from before and one from after, or a sweep and a sweep, from the first position at which both
 * stages have takes of one kind, and, where both have speech or music, the passages of the first such position. A comparison without either has none.
 */
export async function prepareListening(
  folder: string,
  { takes, changes }: { takes: readonly TakeResult[]; changes: readonly Change[] },
): Promise<PreparedPair[]> {
  const sweep = await readSweep(folder);
  const cutOf = cutsOf(folder, sweep);
  const pairs = await Promise.all(
    changes.flatMap((change) =>
      [clapTakes(takes, change), passageTakes(takes, change)]
        .filter((pair) => pair !== null)
        .map((pair) => preparePair(folder, { pair: { ...pair, sweep }, change, cutOf })),
    ),
  );
  return pairs.filter((pair) => pair !== null);
}

function clapTakes(takes: readonly TakeResult[], change: Change): Omit<PairToMake, 'sweep'> | null {
  const usable = takes.filter(
    (take) => take.used && WITH_RESPONSES.has(take.kind) && take.responses.some((response) => response.used),
  );
  const of = (stage: string) => usable.filter((take) => take.stage === stage);
  const alike = (one: TakeResult, other: TakeResult) => one.position === other.position && one.kind === other.kind;
  const before = of(change.from).find((take) => of(change.to).some((other) => alike(take, other)));
  const after = before && of(change.to).find((other) => alike(before, other));
  return before && after ? { takes: [heard(before), heard(after)], matched_by: 'direct-sound' } : null;
}

function passageTakes(takes: readonly TakeResult[], change: Change): Omit<PairToMake, 'sweep'> | null {
  const [found] = passagePairs(takes, change);
  return found ? { takes: [heard(found[0]), heard(found[1])], matched_by: 'loudness' } : null;
}

function heard({ file, stage, position, kind, sha256, channel, responses }: TakeResult): HeardTake {
  return { file, stage, position, kind, sha256, channel, response: heardSpan(responses) };
}

/** The first response that is used, until it has died away or the next sound that was taken for a response. */
function heardSpan(responses: readonly ResponseResult[]): HeardSpan | null {
  const first = responses.find((response) => response.used);
  if (first === undefined) return null;
  const { onset_s, bands } = first;
  const decays_s = bands
    .filter(({ width }) => width === 'octave')
    .map((band) => band.tfull_s ?? band.t20_s ?? band.edt_s ?? 0);
  const decay_s = Math.max(...decays_s, 0) || UNKNOWN_DECAY_S;
  const next_s = responses.filter((other) => other.onset_s > onset_s).map((other) => other.onset_s - LEAD_S);
  return { onset_s, end_s: Math.min(onset_s + Math.max(SHORTEST_S, HEARD_DECAYS * decay_s), ...next_s) };
}

/** Takes are opened in this thread, which has listened to them before, one after the other. */
const inTurn = pLimit(1);
const memory = new TakeMemory();

/** What a take has to be heard, cut out of its recording; null where there is nothing, or it can no longer be read. */
type Cut = HeardSound & { onset_s: number };
type CutOf = (take: HeardTake) => Promise<Cut | null>;

/** Opens each take once, though most stages stand in two comparisons and more. */
function cutsOf(folder: string, sweep: SweepFound): CutOf {
  const cuts = new Map<string, Promise<Cut | null>>();
  return (take) => {
    const cut = cuts.get(take.file) ?? inTurn(() => cutResponse(folder, take, sweep));
    cuts.set(take.file, cut);
    return cut;
  };
}

async function preparePair(
  folder: string,
  { pair, change: { from, to }, cutOf }: { pair: PairToMake; change: Change; cutOf: CutOf },
): Promise<PreparedPair | null> {
  const { takes, matched_by, sweep } = pair;
  const name = `${from}--${to}${matched_by === 'loudness' ? '-passage' : ''}`;
  const heard = takes.map(({ sha256, kind, channel, response }) => ({ sha256, kind, channel, response }));
  const inputs = { matched_by, sweep, takes: heard };
  const step = { step: 'clips', version: CLIPS_VERSION, subject: name, inputs };
  const make = () => (matched_by === 'loudness' ? passageClips(folder, takes) : responseClips(takes, cutOf));
  const made = (await keep(keepFolder(folder), step, make)).value;
  if (made === null) return null;
  const clip = (i: 0 | 1) => ({
    file: `listen/${name}-${i === 0 ? 'before' : 'after'}.wav`,
    recording: takes[i].file,
    onset_s: made.onsets_s[i],
    gain_db: made.gain_db[i],
  });
  const { position } = takes[0];
  const wav = (i: 0 | 1) => Buffer.from(made.wavs[i], 'base64');
  return { wavs: [wav(0), wav(1)], entry: { from, to, position, matched_by, clips: [clip(0), clip(1)] } };
}

/** The passages of two takes matched in loudness; null where one of them has nothing to hear, or can no longer be read. */
function passageClips(folder: string, [before, after]: PairToMake['takes']): Promise<MadePair | null> {
  return inTurn(async () => {
    const [one, other] = [await reopened(folder, before), await reopened(folder, after)];
    return one && other && encoded(passagePair(one, other), [0, 0]);
  });
}

/** The responses of two takes matched by their direct sound; null as for passages. */
async function responseClips([before, after]: PairToMake['takes'], cutOf: CutOf): Promise<MadePair | null> {
  const [first, second] = [await cutOf(before), await cutOf(after)];
  if (!first || !second) return null;
  const direct = [first, second].map(({ samples, rate_hz, zero_sample }) => {
    return directEnergy(samples, rate_hz, zero_sample);
  });
  return encoded(listeningPair([first, second], [direct[0]!, direct[1]!]), [first.onset_s, second.onset_s]);
}

function encoded(pair: ReturnType<typeof passagePair>, onsets_s: MadePair['onsets_s']): MadePair | null {
  if (pair === null) return null;
  const wav = (i: 0 | 1) => Buffer.from(encodeWav(pair.clips[i], pair.rate_hz[i], 24)).toString('base64');
  return { wavs: [wav(0), wav(1)], onsets_s, gain_db: pair.gain_db };
}

/** The first response of a take that is used, copied from the recording once more; a sweep's has to be recovered once more. */
function cutResponse(folder: string, take: HeardTake, sweep: SweepFound): Promise<Cut | null> {
  const { kind, channel, response } = take;
  const use = (opened: OpenedTake, workspace: Workspace): Cut | null => {
    const sound = 'sound' in opened ? normaliseTake(opened.sound, channel ?? 1, workspace) : null;
    if (sound === null || kind === null || response === null) return null;
    if (kind === 'sweep') {
      const { responses } = alignTake(sound, { kind, source: null, sweep });
      const used = responses.filter((one) => one.used);
      const one = used.find(({ onset_s }) => onset_s === response.onset_s) ?? used[0];
      return one === undefined ? null : { ...one, samples: one.samples.slice() };
    }
    const { rate_hz, samples } = sound;
    const zero = Math.round(response.onset_s * rate_hz);
    const start = Math.max(0, zero - Math.round(LEAD_S * rate_hz));
    return {
      rate_hz,
      onset_s: response.onset_s,
      samples: samples.slice(start, Math.max(zero + 1, Math.round(response.end_s * rate_hz))),
      zero_sample: zero - start,
    };
  };
  return useTake(folder, take, { memory, use });
}

async function reopened(folder: string, take: HeardTake): Promise<NormalisedTake | null> {
  const opened = await openTake(folder, take);
  return 'sound' in opened ? normaliseTake(opened.sound, take.channel ?? 1) : null;
}

/** The clips by their path in the folder of a report, as 24-bit WAV. */
export function clipFiles(pairs: readonly PreparedPair[]): [file: string, wav: Uint8Array][] {
  return pairs.flatMap(({ wavs, entry }) => wavs.map((wav, i): [string, Uint8Array] => [entry.clips[i]!.file, wav]));
}
