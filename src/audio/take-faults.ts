import type { SourceKind } from '../project/project.ts';
import { type ClippedRun, clippedRuns } from './clipping.ts';
import { dropouts } from './dropouts.ts';
import type { EventTraces } from './event-traces.ts';
import { faultMessage } from './fault-messages.ts';
import type { Fault } from './faults.ts';
import { commonestFault, type FoundResponses, type QuietAfter } from './find-responses.ts';
import { gainDrift } from './gain-drift.ts';
import { meanLevel_db, SILENCE_DB } from './level-trace.ts';
import { mainsHum } from './mains-hum.ts';
import { type GateCut, gateCut } from './noise-gate.ts';
import type { Response } from './response.ts';
import type { Sound } from './sound.ts';
import { emptyBelow_hz } from './source-bass.ts';
import { spectrumCutoff_hz } from './spectrum-cutoff.ts';

export interface TakeToFault {
  sound: Sound;
  /** Counted from 1. */
  channel: number;
  /** That channel, its mean taken away. */
  samples: Float64Array;
  /** The mean that was taken away, full scale being 1. */
  dc_offset: number;
  traces: EventTraces;
  source: SourceKind | null;
  /** Whether this is one impulse response measured elsewhere: what a device or a sweep leaves in it is its own affair. */
  ready: boolean;
}

/** Constant offsets under half a per cent of full scale are usual and harmless. */
const LEAST_OFFSET = 0.005;
/** The decay should start so far above the noise for T20 to have its 35 dB in every band. */
const WANTED_RANGE_DB = 35;
/** Before time zero the direct sound may already rise. */
const RISE_S = 0.002;

/**
 * Finds what is wrong with a take. A fault that spoils one response is put on that response, which is then not used; a
 * fault of the recorder or of the whole recording is put on the take. Where no response is left, the take has the fault
 * that most of them have.
 *
 * @param found the responses, and where the quiet after each lies
 * @returns responses and faults, in place of those given
 */
export function takeFaults(take: TakeToFault, found: FoundResponses & { quiet: QuietAfter[] }): FoundResponses {
  const raw = take.sound.channels[take.channel - 1]!;
  const runs = clippedRuns(raw);
  const lost = dropouts(raw, { rate_hz: take.sound.rate_hz, resolution: resolutionOf(take.sound) });
  const gates = take.ready ? [] : gateFaults(take, found.quiet);
  const responses = found.responses.map((response, i) => {
    const span = spanOf(response);
    const faults = [
      clipping(runs.filter((run) => overlaps(run, span))),
      dropout(
        lost.filter((gap) => overlaps(gap, span)),
        response.rate_hz,
      ),
      gates[i] ?? null,
      ...response.faults,
    ].filter((fault) => fault !== null);
    return { ...response, faults, used: !faults.some((fault) => fault.severity === 'reject') };
  });
  const used = responses.filter((response) => response.used);
  const ofTake = [...soundFaults(take), ...(take.ready ? [] : recorderFaults(take, found.quiet, used))];
  if (used.length === 0) ofTake.unshift(missing({ take, runs, responses, faults: found.faults }));
  return { responses, faults: ofTake };
}

function missing(given: { take: TakeToFault; runs: ClippedRun[]; responses: Response[]; faults: Fault[] }): Fault {
  const { take, runs, responses, faults } = given;
  if (take.samples.every((value) => value === 0)) return faultMessage('silent', {});
  if (responses.length > 0) return commonestFault(responses);
  return clipping(runs) ?? faults[0] ?? faultMessage('no-event', {});
}

/** Faults that can be told from the sound as decoded, whatever kind of take it is. */
export function soundFaults({
  sound,
  channel,
  samples,
  dc_offset,
  ready,
}: Omit<TakeToFault, 'traces' | 'source'>): Fault[] {
  const faults: Fault[] = [];
  const cutoff_hz = sound.lossy || ready ? null : spectrumCutoff_hz(samples, sound.rate_hz);
  if (sound.lossy || cutoff_hz !== null) faults.push(faultMessage('lossy-coding', { cutoff_hz, coding: sound.coding }));
  if (Math.abs(dc_offset) >= LEAST_OFFSET) faults.push(faultMessage('dc-offset', { share: Math.abs(dc_offset) }));
  if (sound.channels.length > 1) {
    faults.push(faultMessage('channel-chosen', { channel, channels: sound.channels.length }));
  }
  return faults;
}

/** The clipped runs of a stretch as one fault: the worst of them says by how much to lower the gain. */
export function clipping(runs: ClippedRun[]): Fault | null {
  if (runs.length === 0) return null;
  const worst = runs.reduce((most, run) => (run.overshoot_db > most.overshoot_db ? run : most));
  return faultMessage('clipped', { overshoot_db: worst.overshoot_db, below_full_scale_db: worst.below_full_scale_db });
}

function dropout(gaps: { start: number; length: number }[], rate_hz: number): Fault | null {
  const longest = gaps.sort((a, b) => b.length - a.length)[0];
  if (longest === undefined) return null;
  return faultMessage('dropout', { at_s: longest.start / rate_hz, seconds: longest.length / rate_hz });
}

/** The cuts of a gate lie at one level, give or take how fast it shuts. */
const ONE_THRESHOLD_DB = 8;
/**
 * So many of the tails are cut: the fine structure of a dry room, which its claps share, makes a step in one or two of four, but
 * never silence.
 */
const GATED_SHARE = { step: 0.6, silence: 0.5 };

/** A gate cuts every tail of a take, and all at one level; a step in some of them, here and there, is the decay's own doing. */
function gateFaults({ traces, sound }: TakeToFault, quiet: QuietAfter[]): (Fault | null)[] {
  const resolution = resolutionOf(sound);
  const resolution_db = resolution > 0 ? 20 * Math.log10(resolution) : SILENCE_DB;
  const cuts = quiet.map(({ start, next }) => gateCut(traces.highLevels, { from: start, to: next - 3, resolution_db }));
  const levels = cuts.flatMap((cut) => cut?.threshold_db ?? []).sort((a, b) => a - b);
  const middle_db = levels[Math.floor(levels.length / 2)] ?? 0;
  const alike = (cut: GateCut) => Math.abs(cut.threshold_db - middle_db) <= ONE_THRESHOLD_DB;
  const cut = cuts.filter((found) => found !== null && alike(found));
  const share = cut.some((found) => found?.to_silence) ? GATED_SHARE.silence : GATED_SHARE.step;
  const gated = cut.length >= share * cuts.length;
  return cuts.map((found) => (gated && found !== null && alike(found) ? faultMessage('noise-gate', found) : null));
}

/** Faults that show in what lies between the events. */
function recorderFaults(
  { traces, samples, sound, source }: TakeToFault,
  quiet: QuietAfter[],
  used: Response[],
): Fault[] {
  const faults: Fault[] = [];
  const settled = quiet.flatMap(({ start, reached, next }) =>
    reached === null ? [] : [{ start, from: reached, to: next - 3 }],
  );
  const drift = gainDrift(traces.highLevels, settled);
  if (drift !== null) faults.push(faultMessage('automatic-gain', drift));
  const hum = mainsHum(quietStretches(samples, traces, settled), sound.rate_hz);
  if (hum !== null) faults.push(faultMessage('mains-hum', hum));
  if (used.length === 0) return faults;
  const range_db = middleRange_db(traces, quiet);
  if (range_db < WANTED_RANGE_DB) faults.push(faultMessage('low-range', { range_db }));
  const below_hz = emptyBelow_hz(used);
  if (below_hz !== null) faults.push(faultMessage('no-bass', { source, below_hz }));
  return faults;
}

/** Level of the decay from 10 to 30 ms over the quiet level, above 800 Hz, in the middle event. */
function middleRange_db({ highLevels, highFloor_db }: EventTraces, quiet: QuietAfter[]): number {
  const ranges = quiet.map(({ start }) => meanLevel_db(highLevels, start + 10, start + 30) - highFloor_db);
  return ranges.sort((a, b) => a - b)[Math.floor(ranges.length / 2)]!;
}

/** Bass decays longer than what is above 800 Hz; so long after that has come down, the bass has too. */
const BASS_LATER_FRAMES = 300;

function quietStretches(
  samples: Float64Array,
  { highLevels }: EventTraces,
  settled: { from: number; to: number }[],
): Float64Array[] {
  const { frame_samples } = highLevels;
  return settled.map(({ from, to }) =>
    samples.subarray((from + BASS_LATER_FRAMES) * frame_samples, to * frame_samples),
  );
}

function spanOf({ samples, zero_sample, onset_s, rate_hz }: Response): { start: number; end: number } {
  const zero = Math.round(onset_s * rate_hz);
  return { start: zero - Math.round(RISE_S * rate_hz), end: zero + samples.length - zero_sample };
}

function overlaps({ start, length }: { start: number; length: number }, span: { start: number; end: number }): boolean {
  return start < span.end && start + length > span.start;
}

/** One step of the coding, full scale being 1; 0 for float. */
function resolutionOf({ sample_format, bits }: Sound): number {
  return sample_format === 'pcm' ? 2 ** (1 - bits) : 0;
}
