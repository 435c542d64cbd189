import { meanPower_db, powerSpectrum } from './power-spectrum.ts';

/** Coders and converters of the trade cut between these; the anti-alias filter of a recorder lies above. */
const LOWEST_CUTOFF_HZ = 3500;
const HIGHEST_SHARE_OF_RATE = 0.455;
/** The spectrum is compared this far to each side of the edge. */
const NEAR_HZ = 150;
const FAR_HZ = 600;
/** No microphone, room or source falls so fast within a few hundred hertz. Common practice, no source. */
const CLIFF_DB = 18;
const STEP_HZ = 100;
const SIZE = 4096;
/** What half of the stretches say is off by no more. */
const ROUGH_DB = 8;

/**
 * The frequency above which a recording holds next to nothing, where its spectrum ends in a cliff: the mark of coding with
 * loss, or of a lower sample rate somewhere on the way.
 *
 * @returns the frequency in Hz, null where the spectrum ends as a plain recording's does
 */
export function spectrumCutoff_hz(samples: Float64Array, rate_hz: number): number | null {
  // Most recordings end in nothing like a cliff, and a quarter of the sound tells that.
  const rough = steepestCliff(samples, { rate_hz, hop: 4 * SIZE });
  if (rough === null || rough.cliff_db < CLIFF_DB - ROUGH_DB) return null;
  const steepest = steepestCliff(samples, { rate_hz, hop: 2 * SIZE });
  return steepest !== null && steepest.cliff_db >= CLIFF_DB ? steepest.edge_hz : null;
}

function steepestCliff(
  samples: Float64Array,
  { rate_hz, hop }: { rate_hz: number; hop: number },
): { edge_hz: number; cliff_db: number } | null {
  const spectrum = powerSpectrum([samples], { rate_hz, size: SIZE, hop });
  if (spectrum === null) return null;
  const highest_hz = HIGHEST_SHARE_OF_RATE * rate_hz;
  let steepest = { edge_hz: 0, cliff_db: 0 };
  for (let edge_hz = LOWEST_CUTOFF_HZ; edge_hz + FAR_HZ <= highest_hz; edge_hz += STEP_HZ) {
    const below_db = meanPower_db(spectrum, edge_hz - FAR_HZ, edge_hz - NEAR_HZ);
    const above_db = meanPower_db(spectrum, edge_hz + NEAR_HZ, edge_hz + FAR_HZ);
    const rest_db = meanPower_db(spectrum, edge_hz + NEAR_HZ, highest_hz);
    const cliff_db = below_db - Math.max(above_db, rest_db);
    if (cliff_db > steepest.cliff_db) steepest = { edge_hz, cliff_db };
  }
  return steepest;
}
