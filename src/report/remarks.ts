import { DIRECT_OCTAVES_HZ } from '../audio/direct-spectrum.ts';
import type { Project } from '../project/project.ts';
import type { ReadingAt } from '../statistics/cells.ts';
import { quotedId } from '../statistics/quoted-id.ts';
import { colourShift, gainShift, type RecordedClap } from '../statistics/recording-levels.ts';
import { findOutliers, type Outlier } from '../statistics/siblings.ts';
import { type SwappedStages, swappedStages } from '../statistics/stage-order.ts';
import type { TakeResult } from './results.ts';

export const REMARK_CODES = ['outlier', 'wrong-folder', 'stages-swapped', 'gain-changed', 'colour-changed'] as const;

/** What no take shows by itself, and several beside each other do. Nothing is set aside for it: that is for the user to say. */
export interface Remark {
  code: (typeof REMARK_CODES)[number];
  /** warn: look into it before the results are trusted. note: said once. */
  severity: 'warn' | 'note';
  /** A plain sentence: what was found, with its figures, and the mend. */
  message: string;
  files: string[];
}

/** Remarks on the takes of a project held against each other: those of a place, and those of a stage against the stage before. */
export function remarksOn(project: Project, takes: readonly TakeResult[]): Remark[] {
  const used = takes.filter((take) => take.used);
  const readings = used.flatMap(readingsOf);
  const claps = used.flatMap(clapsOf);
  const measured = project.stages.filter(({ id }) => readings.some(({ stage }) => stage === id));
  const pairs = measured.slice(1).map((stage, i) => ({ from: measured[i]!.id, to: stage.id, stage }));
  const looks = pairs.length;
  const filesAt = (stages: readonly string[], positions: readonly string[] | null = null): string[] =>
    used
      .filter((take) => stages.includes(take.stage) && (positions === null || positions.includes(take.position)))
      .filter((take) => take.responses.length > 0)
      .map(({ file }) => file);
  return [
    ...findOutliers(readings).map(outlierRemark),
    ...pairs.flatMap(({ from, to, stage }): Remark[] => {
      const absorbing = stage.treatments.length > 0;
      const swapped = swappedStages(readings, { from, to, absorbing, looks });
      if (swapped === null) return [];
      const files = filesAt([from, to], swapped.positions);
      return [{ code: 'stages-swapped', severity: 'warn', message: swappedMessage(swapped), files }];
    }),
    ...pairs.flatMap(({ from, to }): Remark[] => {
      const shift = gainShift(claps, { from, to, looks });
      if (shift === null) return [];
      const message = `from ${quotedId(from)} to ${quotedId(to)} the noise of the recordings ${rose(shift.noise_db)} in every octave alike, and the claps with it (${signed(shift.direct_db)} dB): the gain was changed; decays and clarity do not mind, but levels of the background cannot be compared: leave the gain alone from the first stage to the last`;
      return [{ code: 'gain-changed', severity: 'note', message, files: filesAt([from, to]) }];
    }),
    ...pairs.flatMap(({ from, to }): Remark[] => {
      const shift = colourShift(claps, { from, to, looks });
      if (shift === null) return [];
      const octave = `${DIRECT_OCTAVES_HZ[shift.octave]! / 1000} kHz`;
      const message = `from ${quotedId(from)} to ${quotedId(to)} the direct sound ${rose(shift.shift_db)} at ${octave} against the other octaves: another microphone, another source, or the microphone turned; use the same in every stage, or say so in a note of the stage`;
      return [{ code: 'colour-changed', severity: 'warn', message, files: filesAt([from, to]) }];
    }),
  ];
}

function readingsOf(take: TakeResult): ReadingAt[] {
  return take.responses
    .filter((response) => response.used && response.averaged_into === undefined)
    .map(({ onset_s, bands }) => ({
      stage: take.stage,
      position: take.position,
      take: `${take.file}@${onset_s}`,
      bands,
    }));
}

function clapsOf({ stage, position, responses }: TakeResult): RecordedClap[] {
  return responses.flatMap(({ used, direct_db, direct_spectrum_db = null, bands }) =>
    used && direct_db !== undefined ? [{ stage, position, direct_db, direct_spectrum_db, bands }] : [],
  );
}

function outlierRemark(outlier: Outlier): Remark {
  const { stage, position, takes, fits } = outlier;
  const files = [...new Set(takes.map((take) => take.replace(/@[^@]*$/, '')))];
  const place = `${quotedId(stage)}, position ${position}`;
  const differs = differenceOf(outlier);
  if (takes.length === 2) {
    const fit =
      fits === null
        ? 'nothing tells which is right'
        : `${nameOf(takes[0]!)} agrees with those of ${quotedId(fits.stage)}, position ${fits.position}`;
    const message = `${nameOf(takes[0]!)} and ${nameOf(takes[1]!)} of ${place} disagree beyond chance (${differs}), and ${fit}: record a third, and list the wrong one under set_aside in the project file`;
    return { code: fits === null ? 'outlier' : 'wrong-folder', severity: 'warn', message, files };
  }
  if (fits !== null) {
    const message = `${nameOf(takes[0]!)} disagrees with the others of ${place} beyond chance (${differs}), and agrees with those of ${quotedId(fits.stage)}, position ${fits.position}: if it lies in the wrong folder, move it; else record it again`;
    return { code: 'wrong-folder', severity: 'warn', message, files };
  }
  const message = `${nameOf(takes[0]!)} disagrees with the others of ${place} beyond chance (${differs}): was a door open, or microphone or source elsewhere? It is kept; record it again, or list it under set_aside in the project file`;
  return { code: 'outlier', severity: 'warn', message, files };
}

function differenceOf({ decay_percent, clarity_db }: Outlier): string {
  const parts = [
    ...(decay_percent === null ? [] : [`decay ${signed(decay_percent)} %`]),
    ...(clarity_db === null ? [] : [`C50 ${signed(clarity_db)} dB`]),
  ];
  return `${parts.join(', ')} on the mean over the octaves`;
}

/** `03.wav`, or `03.wav at 4.2 s`. */
function nameOf(take: string): string {
  const [, file, onset] = /([^/@]+)(?:@([\d.]+))?$/.exec(take) ?? [null, take, undefined];
  return onset === undefined ? file! : `${file} at ${Number(onset).toFixed(1)} s`;
}

function swappedMessage({ from, to, positions, all, percent, others_percent }: SwappedStages): string {
  if (all) {
    return `the room rings ${percent.toFixed(0)} % longer in ${quotedId(to)} than in ${quotedId(from)}, though something that absorbs was added: if the folders of the two stages were mixed up, swap them; else say in a note of ${quotedId(to)} what else changed`;
  }
  return `at position ${positions.join(', ')} the decay changes by ${signed(percent)} % from ${quotedId(from)} to ${quotedId(to)}, at the other positions by ${signed(others_percent!)} %: if its recordings of the two stages were mixed up, swap them`;
}

function rose(shift_db: number): string {
  return `${shift_db > 0 ? 'rose' : 'fell'} by ${Math.abs(shift_db).toFixed(0)} dB`;
}

function signed(value: number): string {
  const digits = Math.abs(value).toFixed(Math.abs(value) < 9.95 ? 1 : 0);
  return /[1-9]/.test(digits) ? `${value < 0 ? '-' : '+'}${digits}` : digits;
}
