import { readResponse } from '../../src/room/read-response.ts';
import { OCTAVES } from '../../src/signal/bands.ts';
import { samplesOf, spectrumOf } from '../../src/signal/fft.ts';
import type { ReadingAt } from '../../src/statistics/compare-stages.ts';
import { bandwidthHz, fullRangeVariance } from '../../src/statistics/spread-floor.ts';
import { type Scene, STAGES } from './coverage-drawn.ts';
import type { SeededRandom } from './coverage-random.ts';

const RATE_HZ = 12_800;
const LEAD = 1280;
const SIXTY_DB = Math.log(1e6);
const BANDS = OCTAVES.filter((band) => band.centre_hz <= 4000);

/** Length of a recording after time zero, in decay times: past the reach of the widest range, at least. */
const LENGTH_OVER_DECAY = 1.6;

/** Direct sound's energy over that of the decay. */
const DIRECT_SHARE = 0.5;
/** A clap: a burst of noise under an exponential of this time constant, its direct sound one with it. */
const CLAP_S = 0.0004;
/** Most tilt of the noise's spectrum against the decay's, dB an octave about 700 Hz. */
const NOISE_TILT_DB = 2;

/**
 * A whole simulated measurement as sound, read by the real reading step. In every octave the response of a place is Gaussian noise
 * under an exponential, drawn anew for each place and stage (correlated between stages as the scene says), its decay time off the
 * room's by what the overdispersion asks; a direct sound before it. Each clap has a spectrum of its own, and each recording noise of
 * a random tilt at the range asked for.
 */
export function soundReadings(scene: Scene, random: SeededRandom): ReadingAt[] {
  const size = 2 ** Math.ceil(Math.log2(RATE_HZ * LENGTH_OVER_DECAY * Math.max(...scene.decay_s) + LEAD));
  const readings: ReadingAt[] = [];
  for (let position = 0; position < scene.positions; position++) {
    const rooms = placeResponses(scene, size, random);
    STAGES.forEach((stage, i) => {
      for (let clap = 0; clap < scene.claps; clap++) {
        const samples = record({ room: rooms[i]!, decay_s: scene.decay_s[i]!, range_db: scene.range_db, size }, random);
        const { bands, curves } = readResponse(samples, { rate_hz: RATE_HZ, zero_sample: LEAD, widths: ['octave'] });
        readings.push({
          stage,
          position: `P${position}`,
          take: `${stage}-${position}-${clap}`,
          bands: bands.filter((band) => scene.bands_hz.includes(band.centre_hz)),
          curves,
        });
      }
    });
  }
  return readings;
}

/** The decay of one place in each stage, time zero at sample LEAD, as a spectrum ready to be struck by a clap. */
function placeResponses(scene: Scene, size: number, random: SeededRandom): Float64Array[] {
  const common = whiteNoise(size, random);
  const shared = BANDS.map(() => random.normal());
  const field = Math.sqrt(scene.correlation);
  return STAGES.map((_, stage) => {
    const own = whiteNoise(size, random);
    const structure = own.map((value, i) => Math.sqrt(field) * common[i]! + Math.sqrt(1 - field) * value);
    const spectrum = spectrumOf(structure, size);
    const decay_s = scene.decay_s[stage]!;
    const response = new Float64Array(size);
    BANDS.forEach((band, b) => {
      const draw = Math.sqrt(scene.correlation) * shared[b]! + Math.sqrt(1 - scene.correlation) * random.normal();
      const bound = fullRangeVariance({
        decay_s,
        bandwidth_hz: bandwidthHz('octave', band.centre_hz),
        range_db: scene.range_db,
      });
      const place_s = decay_s * Math.exp(draw * Math.sqrt((scene.overdispersion ** 2 - 1) * bound));
      const noise = samplesOf(keepBand(spectrum, band.lower_hz, band.upper_hz));
      for (let i = LEAD; i < size; i++) {
        response[i] = response[i]! + noise[i]! * Math.exp((-SIXTY_DB * (i - LEAD)) / (2 * place_s * RATE_HZ));
      }
    });
    const energy = response.reduce((sum, value) => sum + value ** 2, 0);
    response[LEAD] = response[LEAD]! + Math.sqrt(DIRECT_SHARE * energy);
    return spectrumOf(response, size);
  });
}

interface Recording {
  room: Float64Array;
  decay_s: number;
  range_db: number;
  size: number;
}

/** One clap in the room, with the noise of its recording: per octave the decay's power at time zero less the range, tilted. */
function record({ room, range_db, size }: Recording, random: SeededRandom): Float64Array {
  const burst = new Float64Array(size);
  for (let i = 0; i < 10 * CLAP_S * RATE_HZ; i++) burst[i] = random.normal() * Math.exp(-i / (2 * CLAP_S * RATE_HZ));
  const clap = spectrumOf(burst, size);
  const noise = spectrumOf(whiteNoise(size, random), size);
  const tilt_db = random.between(-NOISE_TILT_DB, NOISE_TILT_DB);
  const out = new Float64Array(2 * size);
  const gain = new Float64Array(size / 2 + 1);
  for (const band of BANDS) {
    const [from, to] = edges(band.lower_hz, band.upper_hz, size);
    let power = 0;
    for (let k = from; k < to; k++) power += clap[2 * k]! ** 2 + clap[2 * k + 1]! ** 2;
    const level_db = -range_db + tilt_db * Math.log2(band.centre_hz / 700);
    gain.fill(Math.sqrt((power / (to - from)) * 10 ** (level_db / 10)), from, to);
  }
  for (let k = 0; k <= size / 2; k++) {
    const [re, im] = [room[2 * k]!, room[2 * k + 1]!];
    const [clap_re, clap_im] = [clap[2 * k]!, clap[2 * k + 1]!];
    out[2 * k] = re * clap_re - im * clap_im + gain[k]! * noise[2 * k]!;
    out[2 * k + 1] = re * clap_im + im * clap_re + gain[k]! * noise[2 * k + 1]!;
  }
  mirror(out, size);
  return samplesOf(out);
}

function whiteNoise(size: number, random: SeededRandom): Float64Array {
  return Float64Array.from({ length: size }, () => random.normal());
}

function edges(lower_hz: number, upper_hz: number, size: number): [from: number, to: number] {
  return [Math.round((lower_hz * size) / RATE_HZ), Math.round((upper_hz * size) / RATE_HZ)];
}

function keepBand(spectrum: Float64Array, lower_hz: number, upper_hz: number): Float64Array {
  const size = spectrum.length / 2;
  const [from, to] = edges(lower_hz, upper_hz, size);
  const out = new Float64Array(spectrum.length);
  out.set(spectrum.subarray(2 * from, 2 * to), 2 * from);
  mirror(out, size);
  return out;
}

/** Fills the upper half with the conjugates, so that the samples come out real. */
function mirror(spectrum: Float64Array, size: number): void {
  spectrum[1] = 0;
  spectrum[size + 1] = 0;
  for (let k = 1; k < size / 2; k++) {
    spectrum[2 * (size - k)] = spectrum[2 * k]!;
    spectrum[2 * (size - k) + 1] = -spectrum[2 * k + 1]!;
  }
}
