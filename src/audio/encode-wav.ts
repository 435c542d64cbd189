import wavefile from 'wavefile';

/** Depths written: 16 and 24 bits PCM, or 32 bits float. */
export type WavBits = 16 | 24 | '32f';

/**
 * One channel as a WAV file. Samples beyond full scale (1) are held at full scale in PCM; values are rounded to the
 * nearest step, without dither, so that the same samples give the same bytes.
 *
 * @returns the bytes of the file
 */
export function encodeWav(samples: Float64Array, rate_hz: number, bits: WavBits): Uint8Array {
  const wav = new wavefile.WaveFile();
  wav.fromScratch(1, rate_hz, String(bits), []);
  const packed = bits === '32f' ? packFloat(samples) : packInteger(samples, bits);
  const data = wav.data as { samples: Uint8Array; chunkSize: number };
  data.samples = packed;
  data.chunkSize = packed.length;
  if (bits === '32f') (wav.fact as { dwSampleLength: number }).dwSampleLength = samples.length;
  return wav.toBuffer();
}

function packInteger(samples: Float64Array, bits: 16 | 24): Uint8Array {
  const full = 2 ** (bits - 1);
  const sampleBytes = bits / 8;
  const bytes = new Uint8Array(samples.length * sampleBytes);
  for (let i = 0, at = 0; i < samples.length; i++) {
    const value = Math.max(-full, Math.min(full - 1, Math.round(samples[i]! * full)));
    for (let shift = 0; shift < bits; shift += 8) bytes[at++] = (value >> shift) & 0xff;
  }
  return bytes;
}

function packFloat(samples: Float64Array): Uint8Array {
  const view = new DataView(new ArrayBuffer(samples.length * 4));
  for (let i = 0; i < samples.length; i++) view.setFloat32(i * 4, samples[i]!, true);
  return new Uint8Array(view.buffer);
}
