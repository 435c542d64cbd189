import type { SourceKind } from '../project/project.ts';
import { FAULT_SEVERITY, type Fault, type FaultCode } from './faults.ts';

/** What was found, for each fault: the figures its sentence needs. */
export interface FaultFindings {
  unreadable: { message: string };
  'too-short': { after_s: number } | { seconds: number } | { cutInto: true } | { background_s: number };
  'no-event': Record<never, never> | { wanted: 'switch-off' } | { reason: string };
  silent: Record<never, never>;
  clipped: { overshoot_db: number; below_full_scale_db: number };
  'automatic-gain': { rise_db: number; from_s: number; to_s: number };
  'noise-gate': { level_db: number; to_silence: boolean };
  'events-too-close': { kind: 'double-hit' | 'next-event' | 'other-sound' | 'covered'; after_s: number };
  dropout: { at_s: number; seconds: number };
  duplicate: { other: string };
  'set-aside': { reason: string };
  'rate-too-low': { rate_hz: number };
  undescribed: { missing: 'sweep' | 'level'; reason?: string };
  'lossy-coding': { cutoff_hz: number | null; coding: string };
  'mains-hum': { mains_hz: number; lift_db: number };
  'low-range': { range_db: number };
  'no-bass': { source: SourceKind | null; below_hz: number };
  'dc-offset': { share: number };
  'channel-chosen': { channel: number; channels: number };
  'kind-guessed': { kind: string };
}

const SOURCE_WORDS: Record<SourceKind, string> = {
  clap: 'a hand clap',
  balloon: 'the balloon',
  pistol: 'the pistol',
  board: 'the boards',
  loudspeaker: 'the loudspeaker',
};

const seconds = (value: number) => `${value.toFixed(2)} s`;
const decibels = (value: number) => `${Math.round(value)} dB`;

/** One sentence a fault: what was found, then the mend. */
const SENTENCES: { [Code in FaultCode]: (found: FaultFindings[Code]) => string } = {
  unreadable: ({ message }) => message,
  'too-short': (found) =>
    'cutInto' in found
      ? 'the recording starts in the middle of the sound: start recording a second before the clap'
      : 'background_s' in found
        ? `only ${seconds(found.background_s)} of the silent room: record ten seconds or more`
        : 'after_s' in found
          ? `the recording stops ${seconds(found.after_s)} after the sound, before the decay has reached the noise: keep recording two seconds longer`
          : `only ${seconds(found.seconds)} long: record at least two seconds, and keep still after the last clap`,
  'no-event': (found) => {
    if ('reason' in found) return found.reason;
    if ('wanted' in found)
      return 'no noise that is switched off was found: play it for two seconds or more, 25 dB over the noise of the room, then cut it dead';
    return 'no clap or pop was found: it must rise 30 dB or more above the noise of the room; clap harder, nearer or with boards';
  },
  silent: () => 'nothing but silence: check the input, the cable and the gain, then record again',
  clipped: ({ overshoot_db, below_full_scale_db }) => {
    const top = below_full_scale_db > 0.5 ? `, its tops flat ${decibels(below_full_scale_db)} under full scale` : '';
    return `clipped${top}: lower the gain by about ${decibels(overshoot_db + 6)} and record again`;
  },
  'automatic-gain': ({ rise_db, from_s, to_s }) =>
    `the recorder's automatic gain or limiter is on: the tail rises ${decibels(rise_db)} between ${seconds(from_s)} and ${seconds(to_s)}; set the gain by hand and record again`,
  'noise-gate': ({ level_db, to_silence }) =>
    `a noise gate or noise reduction cut the tail${to_silence ? ' to silence' : ''} ${decibels(-level_db)} under its peak: turn such processing off and record again`,
  'events-too-close': ({ kind, after_s }) => {
    switch (kind) {
      case 'double-hit':
        return `a second hit follows after ${Math.round(after_s * 1000)} ms: make one sharp clap at a time`;
      case 'next-event':
        return `the next clap comes after ${seconds(after_s)}, before this decay has reached the noise: leave two seconds between claps`;
      case 'covered':
        return 'its decay is far longer than those beside it, so something else sounds in it: keep still until the tail is gone';
      case 'other-sound':
        return `another sound starts ${seconds(after_s)} after it, before the decay has reached the noise: keep still until the tail is gone`;
    }
  },
  dropout: ({ at_s, seconds: length_s }) =>
    `the recording drops out for ${(length_s * 1000).toFixed(1)} ms at ${seconds(at_s)}: check cable, card and computer, then record again`,
  duplicate: ({ other }) => `the same recording as ${other}: it counts once; remove one of the two`,
  'set-aside': ({ reason }) => `set aside in the project file: ${reason}`,
  'rate-too-low': ({ rate_hz }) => `a sample rate of ${rate_hz} Hz is too low: record at 44100 or 48000 Hz`,
  undescribed: ({ missing, reason }) =>
    reason !== undefined
      ? reason
      : missing === 'sweep'
        ? 'a sweep, and sweep.json, which says what was played, is not in the project folder: put it back beside project.yaml, or write a sweep with "decaybook signal" and record that'
        : 'a calibrator, and its level is not stated: write level: 94, or what the calibrator says, beside kind: calibration in the project file',
  'lossy-coding': ({ cutoff_hz, coding }) =>
    cutoff_hz === null
      ? `coded with loss (${coding}), which alters quiet tails: record as WAV`
      : `the spectrum stops dead at ${(cutoff_hz / 1000).toFixed(1)} kHz, as lossy coding leaves it, and quiet tails may be altered: record as WAV`,
  'mains-hum': ({ mains_hz, lift_db }) =>
    `mains hum at ${mains_hz} Hz and its harmonics lifts the noise in the bass by ${decibels(lift_db)}: try batteries, another socket or a balanced cable`,
  'low-range': ({ range_db }) =>
    `the sound stands only ${decibels(range_db)} above the noise: make it louder, or the room quieter`,
  'no-bass': ({ source, below_hz }) => {
    const mend =
      source === 'balloon' || source === 'loudspeaker' ? 'use the sweep, louder,' : 'use a balloon or the sweep';
    return `${source === null ? 'the source' : SOURCE_WORDS[source]} has too little below ${below_hz} Hz here: ${mend} for the bass`;
  },
  'dc-offset': ({ share }) => `a constant offset of ${(share * 100).toFixed(1)} % of full scale was taken away`,
  'channel-chosen': ({ channel, channels }) => `channel ${channel} of ${channels} is used`,
  'kind-guessed': ({ kind }) => `taken for ${kind} by its sound: write kind: ${kind} in the project file to settle it`,
};

/**
 * The fault of the given code, worded for what was found. Every sentence names the finding with its figures and ends with
 * the mend. All messages about recordings stand here.
 */
export function faultMessage<Code extends FaultCode>(code: Code, found: FaultFindings[Code]): Fault {
  return { code, severity: FAULT_SEVERITY[code], message: SENTENCES[code](found) };
}
