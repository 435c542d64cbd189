import { decodeWav } from '../../src/audio/decode-wav.ts';
import { smallTake } from '../pipeline/small-project.ts';
import { CODED, hostileCoded, hostileMp4, hostileNoise } from './coded.ts';
import { type Draw, mutated } from './draw.ts';
import { unfolding } from './unfolding.ts';
import { hostileWav } from './wav.ts';

/** Two claps in a small room at 8 kHz, as a WAV file and as samples. */
const SOUND_WAV = smallTake(3);
const SOUND = soundSamples();

function soundSamples(): Float64Array {
  const decoded = decodeWav(SOUND_WAV);
  if (!decoded.ok) throw new Error(decoded.message);
  return decoded.sound.channels[0]!;
}

/** The kinds of broken sound file, each with what draws one. */
export const HOSTILE_SOUNDS: Readonly<Record<string, (draw: Draw) => Uint8Array>> = {
  'WAV put together': (draw) => hostileWav(draw, SOUND),
  'WAV altered': (draw) => mutated(draw, SOUND_WAV),
  ...Object.fromEntries([...CODED.keys()].map((name) => [`${name} altered`, (draw: Draw) => hostileCoded(draw, name)])),
  'MP4 boxes that lie': hostileMp4,
  'beginnings and noise': hostileNoise,
  'small files that unfold': unfolding,
};
