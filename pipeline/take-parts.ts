import type { ResponseTrace, TakeResult } from '../src/report/results.ts';
import type { BandWidth, DecayCurve } from '../src/room/reading.ts';
import type { ReadBands } from './measure-take.ts';
import { type PackedLevels, packLevels, unpackLevels } from './packed-levels.ts';

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

interface KeptTake {
  result: TakeResult;
  traces: (Omit<ResponseTrace, 'curves' | 'early'> & { curves: KeptCurve[]; early: KeptEarly })[];
}
type KeptThirds = { bands: ReadBands['bands']; curves: KeptCurve[] }[];

/** A take as it is kept, and crosses from thread to thread. */
export function takeBytes({ result, traces }: AnalysedTake): Uint8Array {
  return packLevels((packed) => ({
    result,
    traces: traces.map(({ curves, early, ...trace }) => {
      return { ...trace, curves: curves.map(packed), early: packed(early) };
    }),
  }));
}

/** The same take. Throws where the bytes are none of a take. */
export function takeOfBytes(bytes: Uint8Array): AnalysedTake {
  return unpackLevels(bytes, ({ result, traces }: KeptTake, unpacked) => ({
    result,
    traces: traces.map(({ curves, early, ...trace }) => {
      return { ...trace, curves: curves.map(unpacked), early: unpacked(early) };
    }),
  }));
}

/** Third octaves as they are kept. */
export function thirdsBytes(thirds: readonly ReadBands[]): Uint8Array {
  return packLevels((packed) => thirds.map(({ bands, curves }) => ({ bands, curves: curves.map(packed) })));
}

/** The same third octaves. Throws where the bytes are none of third octaves. */
export function thirdsOfBytes(bytes: Uint8Array): ReadBands[] {
  return unpackLevels(bytes, (thirds: KeptThirds, unpacked) =>
    thirds.map(({ bands, curves }) => ({ bands, curves: curves.map(unpacked) })),
  );
}

/** The two parts of a take as bytes. */
export interface TakePartsBytes {
  octaves: Uint8Array;
  /** null where third octaves are not asked for. */
  thirds: Uint8Array | null;
}

export function partsBytes(take: AnalysedTake, widths: readonly BandWidth[]): TakePartsBytes {
  const { octaves, thirds } = partedTake(take);
  return { octaves: takeBytes(octaves), thirds: widths.includes('third-octave') ? thirdsBytes(thirds) : null };
}
