import { type SwitchOff, switchOffs } from '../src/audio/switch-offs.ts';
import type { ResponseTrace, TakeResult } from '../src/report/results.ts';
import { type NoiseDecay, type NoiseOffReading, readNoiseOff } from '../src/room/noise-off.ts';
import { BAND_WIDTHS } from '../src/room/reading.ts';
import { keep, keepFolder } from './keep.ts';
import { normaliseTake, openTake } from './normalise.ts';
import type { FoundTake } from './read.ts';
import type { AnalysedTake } from './take-parts.ts';

/** Raised whenever the same takes would be averaged otherwise than before. */
const AVERAGING_VERSION = 1;
/** So much of the steady noise before a switch-off is kept: what its level is read from. */
const STEADY_S = 2.1;

/**
 * The decays of interrupted noise averaged over all takes of a position in a stage, as ISO 3382-2:2008, 5.3, averages them: the
 * reading stands with the first decay of the group, and the others say where they went. Takes of other kinds, and those set
 * aside, come back as they are. Takes of another sample rate make a group of their own.
 *
 * @param found the recordings the takes were analysed from, in the same order
 */
export async function averageDecays(
  folder: string,
  found: readonly FoundTake[],
  analysed: readonly AnalysedTake[],
): Promise<AnalysedTake[]> {
  const groups = new Map<string, number[]>();
  analysed.forEach(({ result }, i) => {
    if (result.kind !== 'noise-off' || !result.used) return;
    const key = JSON.stringify([result.stage, result.position, result.rate_hz]);
    groups.set(key, [...(groups.get(key) ?? []), i]);
  });
  const averaged = [...analysed];
  for (const members of groups.values()) {
    const takes = members.map((i) => analysed[i]!.result);
    const reading = await keptReading(
      folder,
      members.map((i) => found[i]!),
      takes,
    );
    if (reading === null) continue;
    const first = takes[0]!;
    const head = `${first.file}@${first.responses[0]!.onset_s}`;
    members.forEach((i, member) => {
      averaged[i] = withReading(analysed[i]!, { reading, head, leads: member === 0 });
    });
  }
  return averaged;
}

async function keptReading(
  folder: string,
  found: readonly FoundTake[],
  takes: readonly TakeResult[],
): Promise<NoiseOffReading | null> {
  const inputs = { takes: takes.map(({ sha256, channel }) => ({ sha256, channel })) };
  const step = { step: 'average-decays', version: AVERAGING_VERSION, inputs };
  return (await keep(keepFolder(folder), step, () => readGroup(folder, found, takes))).value;
}

async function readGroup(
  folder: string,
  found: readonly FoundTake[],
  takes: readonly TakeResult[],
): Promise<NoiseOffReading | null> {
  const decays: NoiseDecay[] = [];
  for (const [i, take] of found.entries()) {
    const opened = await openTake(folder, take);
    const normalised = 'sound' in opened ? normaliseTake(opened.sound, takes[i]!.channel!) : null;
    if (normalised === null) continue;
    const { samples, rate_hz } = normalised;
    decays.push(...switchOffs(samples, rate_hz).map((decay) => cutOut(samples, rate_hz, decay)));
  }
  return decays.length === 0 ? null : readNoiseOff(decays, { rate_hz: takes[0]!.rate_hz!, widths: BAND_WIDTHS });
}

/** A decay with the noise before it, copied out so that its take can be let go. */
function cutOut(samples: Float64Array, rate_hz: number, decay: SwitchOff): NoiseDecay {
  const { switch_off_sample, steady_from_sample, end_sample } = decay;
  const from = Math.max(steady_from_sample, switch_off_sample - Math.round(STEADY_S * rate_hz));
  return {
    samples: samples.slice(from, end_sample),
    switch_off_sample: switch_off_sample - from,
    steady_from_sample: 0,
    end_sample: end_sample - from,
  };
}

function withReading(
  take: AnalysedTake,
  { reading, head, leads }: { reading: NoiseOffReading; head: string; leads: boolean },
): AnalysedTake {
  const { bands, curves, decays } = reading;
  const responses = take.result.responses.map((response, i) =>
    leads && i === 0 ? { ...response, bands, decays } : { ...response, averaged_into: head },
  );
  const { file, stage, position } = take.result;
  const trace: ResponseTrace = {
    ...{ file, stage, position, onset_s: responses[0]!.onset_s },
    curves,
    early: { step_s: 0, level_db: [] },
  };
  return { result: { ...take.result, responses }, traces: leads ? [trace] : [] };
}
