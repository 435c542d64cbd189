import type { ResponseTrace, TakeResult } from '../src/report/results.ts';
import type { BandWidth, DecayCurve } from '../src/room/reading.ts';
import type { ReadBands } from './measure-take.ts';
import { type PackedLevels, packed, unpacked } from './packed-levels.ts';

/** What a take gave: its entry in results.json, and the traces that charts draw. */
export interface AnalysedTake {
  result: TakeResult;
  traces: ResponseTrace[];
}

/** The two parts that an analysed take is kept in: a look between two claps needs no third octaves. */
export interface TakeParts {
  /** All but the third octaves. */
  octaves: AnalysedTake;
  /** The third octaves of each response, in order. */
  thirds: ReadBands[];
}

/** A take that was read in both widths, in its two parts. */
export function partedTake({ result, traces }: AnalysedTake): TakeParts {
  const tracesOf = new Map(traces.map((trace) => [trace.onset_s, trace]));
  const only = (width: BandWidth) => {
    return <Band extends { width: BandWidth }>(bands: Band[]): Band[] => bands.filter((band) => band.width === width);
  };
  const [octave, third] = [only('octave'), only('third-octave')];
  return {
    octaves: {
      result: { ...result, responses: result.responses.map((it) => ({ ...it, bands: octave(it.bands) })) },
      traces: traces.map((trace) => ({ ...trace, curves: octave(trace.curves) })),
    },
    thirds: result.responses.map(({ bands, onset_s }) => {
      return { bands: third(bands), curves: third(tracesOf.get(onset_s)?.curves ?? []) };
    }),
  };
}

/** The same take of its two parts; a response that was set aside once its octaves were read has no third octaves either. */
export function joinedTake({ octaves, thirds }: TakeParts): AnalysedTake {
  const { result, traces } = octaves;
  const curvesOf = new Map(result.responses.map(({ onset_s }, i) => [onset_s, thirds[i]?.curves ?? []]));
  return {
    result: {
      ...result,
      responses: result.responses.map((it, i) => {
        return { ...it, bands: it.used ? [...it.bands, ...(thirds[i]?.bands ?? [])] : it.bands };
      }),
    },
    traces: traces.map((trace) => ({ ...trace, curves: [...trace.curves, ...(curvesOf.get(trace.onset_s) ?? [])] })),
  };
}

type KeptCurve = Omit<DecayCurve, 'level_db'> & PackedLevels;
type KeptEarly = Omit<ResponseTrace['early'], 'level_db'> & PackedLevels;

/** The two parts as they are kept and cross from thread to thread: the same, with packed levels. */
export interface KeptTake {
  result: TakeResult;
  traces: (Omit<ResponseTrace, 'curves' | 'early'> & { curves: KeptCurve[]; early: KeptEarly })[];
}
export type KeptThirds = { bands: ReadBands['bands']; curves: KeptCurve[] }[];

export function keptTake({ result, traces }: AnalysedTake): KeptTake {
  return {
    result,
    traces: traces.map((trace) => ({ ...trace, curves: trace.curves.map(packed), early: packed(trace.early) })),
  };
}

export function takeOfKept({ result, traces }: KeptTake): AnalysedTake {
  return {
    result,
    traces: traces.map((trace) => ({ ...trace, curves: trace.curves.map(unpacked), early: unpacked(trace.early) })),
  };
}

export function keptThirds(thirds: readonly ReadBands[]): KeptThirds {
  return thirds.map(({ bands, curves }) => ({ bands, curves: curves.map(packed) }));
}

export function thirdsOfKept(thirds: KeptThirds): ReadBands[] {
  return thirds.map(({ bands, curves }) => ({ bands, curves: curves.map(unpacked) }));
}

/** The two parts as JSON text: text crosses to another thread faster than the numbers in it. */
export interface TakeTexts {
  octaves: string;
  /** Empty where third octaves are not asked for. */
  thirds: string;
}

export function takeTexts(take: AnalysedTake, widths: readonly BandWidth[]): TakeTexts {
  const { octaves, thirds } = partedTake(take);
  return {
    octaves: JSON.stringify(keptTake(octaves)),
    thirds: widths.includes('third-octave') ? JSON.stringify(keptThirds(thirds)) : '',
  };
}
