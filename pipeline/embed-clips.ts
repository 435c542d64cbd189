import { decodeWav } from '../src/audio/decode-wav.ts';
import { encodeWav } from '../src/audio/encode-wav.ts';
import { pageClips } from '../src/audio/page-clips.ts';
import type { PassageSound } from '../src/audio/passage-pair.ts';
import type { Player, ReportDocument } from '../src/report/document.ts';
import { levelPath } from '../src/report/level-path.ts';
import type { PreparedPair } from './listen.ts';

/** A clip as a page carries it. */
export interface EmbeddedClip {
  seconds: number;
  /** WAV, 16 bit, one channel, as base64. */
  wav: string;
  /** Its level over time, see levelPath. */
  path: string;
}

/** Speech or music is remembered no longer than this when it is held against another. */
const LONGEST_S = 12;
/** Sound in a page, in bytes of base64: with charts and fonts it stays well under 15 MB. */
const MOST_BYTES = 10_000_000;

/**
 * The clips of a report as its page carries them, by their file name: cut to one length, in 16 bits. The pairs that the document
 * names first are in; those that would make the page too large are left out, and lie in the folder only.
 */
export function embedClips(
  document: ReportDocument,
  pairs: readonly PreparedPair[],
  most_bytes = MOST_BYTES,
): Map<string, EmbeddedClip> {
  const embedded = new Map<string, EmbeddedClip>();
  let bytes = 0;
  for (const player of playersOf(document)) {
    const pair = pairs.find(({ entry }) => entry.clips[0].file === player.sides[0].file);
    const [before, after] = pair?.wavs.map(soundOf) ?? [];
    if (!before || !after) continue;
    const clips = pageClips([before, after], LONGEST_S).map(embed);
    const size = clips.reduce((sum, clip) => sum + clip.wav.length, 0);
    if (bytes + size > most_bytes) continue;
    bytes += size;
    player.sides.forEach(({ file }, index) => {
      embedded.set(file, clips[index]!);
    });
  }
  return embedded;
}

function playersOf(document: ReportDocument): Player[] {
  return document.sections.flatMap(({ blocks }) => blocks).filter((block) => block.kind === 'player');
}

function soundOf(wav: Uint8Array): PassageSound | null {
  const decoded = decodeWav(wav);
  return decoded.ok ? { rate_hz: decoded.sound.rate_hz, samples: decoded.sound.channels[0]! } : null;
}

function embed(sound: PassageSound): EmbeddedClip {
  const wav = encodeWav(sound.samples, sound.rate_hz, 16);
  return {
    seconds: sound.samples.length / sound.rate_hz,
    wav: Buffer.from(wav).toString('base64'),
    path: levelPath(sound),
  };
}
