/** A stage's value in an octave band, as drawn: null where it was refused. Values and limits in the unit of the quantity. */
export interface BandValue {
  /** Id of the stage. */
  stage: string;
  centre_hz: number;
  value: number | null;
  /** 95 % interval. */
  low: number | null;
  high: number | null;
  /** Given, but to be read with care. */
  flagged: boolean;
}

/** Target decay time of an octave band, in seconds. */
export interface TargetBand {
  centre_hz: number;
  low_s: number;
  high_s: number;
}

/** A change in an octave band between two stages, as drawn: null where it was refused. */
export interface BandChange {
  centre_hz: number;
  value: number | null;
  low: number | null;
  high: number | null;
  verdict: 'reduced' | 'increased' | 'no-detectable-change' | 'not-measurable';
}

/** The bands of some rows, lowest first, each once. */
export function bandsOf(rows: readonly { centre_hz: number }[]): number[] {
  return [...new Set(rows.map((row) => row.centre_hz))].sort((a, b) => a - b);
}
