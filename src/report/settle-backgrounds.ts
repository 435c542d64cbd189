import { setAgainst } from '../audio/background.ts';
import type { TakeResult } from './results.ts';

/**
 * The takes with each background set against what else was recorded at its gain: the direct sound of the claps of its stage (the mean
 * energy of all used ones), and a calibrator's tone, that of its own stage, else, where the gain was left alone for the whole
 * project, the first there is.
 *
 * @param options.fixed_gain whether the project says that the gain was set by hand and left alone
 */
export function settleBackgrounds(takes: readonly TakeResult[], options: { fixed_gain: boolean }): TakeResult[] {
  const calibrations = takes.filter((take) => take.used && take.calibration !== undefined);
  return takes.map((take) => {
    if (take.background === undefined) return take;
    const own = calibrations.find(({ stage }) => stage === take.stage);
    const calibrated = own ?? (options.fixed_gain ? calibrations[0] : undefined);
    const direct = directsOf(takes, take.stage);
    const settled = setAgainst(take.background, {
      direct: direct.length === 0 ? null : direct.reduce((sum, energy) => sum + energy, 0) / direct.length,
      offset_db: calibrated?.calibration?.offset_db ?? null,
    });
    return {
      ...take,
      background: { ...settled, responses: direct.length, calibrated_by: calibrated?.file ?? null },
    };
  });
}

function directsOf(takes: readonly TakeResult[], stage: string): number[] {
  return takes
    .filter((take) => take.used && take.stage === stage)
    .flatMap((take) => take.responses)
    .flatMap(({ used, direct_db }) => (used && direct_db !== undefined ? [10 ** (direct_db / 10)] : []));
}
