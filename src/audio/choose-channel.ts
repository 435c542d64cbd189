import { Workspace } from '../signal/workspace.ts';
import { clippedShare } from './clipping.ts';
import type { Sound } from './sound.ts';

/** How fit a channel is for measuring. Channels are counted from 1. */
export interface ChannelRank {
  channel: number;
  level_db: number;
  clipped: boolean;
}

/** One channel, its constant offset taken away. */
export interface ChosenChannel {
  channel: number;
  samples: Float64Array;
  /** The mean that was taken away, full scale being 1. */
  dc_offset: number;
}

/**
 * The channels of a sound, the fittest first: unclipped before clipped, then the louder one, then the lower number.
 * Channels are never summed, since two microphones apart comb-filter each other.
 *
 * @returns one rank a channel; `level_db` is the root mean square without the constant offset, relative to full scale
 */
export function rankChannels(sound: Sound): ChannelRank[] {
  const ranks = sound.channels.map((samples, index) => ({
    channel: index + 1,
    level_db: levelWithoutOffset_db(samples),
    clipped: clippedShare(samples) > 0,
  }));
  return ranks.sort(
    (a, b) => Number(a.clipped) - Number(b.clipped) || b.level_db - a.level_db || a.channel - b.channel,
  );
}

/**
 * The one channel that serves a whole project best, so that every take is heard through the same microphone.
 * Only channels that every recording has are considered. Fewest clipped takes first, then the highest mean level.
 *
 * @param rankings one ranking a recording, as `rankChannels` gives them
 * @returns the channel, counted from 1; 1 where there are no recordings
 */
export function projectChannel(rankings: ChannelRank[][]): number {
  const shared = Math.min(...rankings.map((ranking) => ranking.length));
  if (!Number.isFinite(shared)) return 1;
  let best = { channel: 1, clipped: Number.POSITIVE_INFINITY, level_db: Number.NEGATIVE_INFINITY };
  for (let channel = 1; channel <= shared; channel++) {
    const ranks = rankings.map((ranking) => ranking.find((rank) => rank.channel === channel)!);
    const clipped = ranks.filter((rank) => rank.clipped).length;
    const level_db = ranks.reduce((sum, rank) => sum + rank.level_db, 0) / ranks.length;
    if (clipped < best.clipped || (clipped === best.clipped && level_db > best.level_db)) {
      best = { channel, clipped, level_db };
    }
  }
  return best.channel;
}

/**
 * One channel of a sound with its mean taken away; nothing else is altered.
 *
 * @param channel counted from 1
 * @param workspace holds the samples, until it is used again; left out, they have memory of their own
 * @returns null where the sound has no such channel
 */
export function chooseChannel(sound: Sound, channel: number, workspace = new Workspace()): ChosenChannel | null {
  const source = sound.channels[channel - 1];
  if (source === undefined) return null;
  const dc_offset = mean(source);
  const samples = workspace.take(source.length);
  subtractInto(samples, source, dc_offset);
  return { channel, samples, dc_offset };
}

function subtractInto(out: Float64Array, samples: Float64Array, offset: number): void {
  for (let i = 0; i < out.length; i++) out[i] = samples[i]! - offset;
}

/** In two sums side by side: each waits for its own last term. */
function mean(samples: Float64Array): number {
  let [even, odd] = [0, 0];
  for (let i = 1; i < samples.length; i += 2) {
    even += samples[i - 1]!;
    odd += samples[i]!;
  }
  if (samples.length % 2 === 1) even += samples[samples.length - 1]!;
  return samples.length === 0 ? 0 : (even + odd) / samples.length;
}

/** Floor of a silent channel, well under the step of 24 bits. */
const SILENCE_DB = -200;

function levelWithoutOffset_db(samples: Float64Array): number {
  const offset = mean(samples);
  let energy = 0;
  for (let i = 0; i < samples.length; i++) energy += (samples[i]! - offset) ** 2;
  return energy === 0 ? SILENCE_DB : Math.max(SILENCE_DB, 10 * Math.log10(energy / samples.length));
}
