import type { PositionReflections } from '../../src/advice/placement.ts';
import { whatNext } from '../../src/advice/what-next.ts';
import { type Project, projectSchema } from '../../src/project/project.ts';
import { roomBox_m } from '../../src/project/room-size.ts';
import type { ResponseTrace, Results, TakeResult } from '../../src/report/results.ts';
import { firstReflections } from '../../src/room/image-sources.ts';
import type { BandQuantity, BandReading, DecayCurve } from '../../src/room/reading.ts';
import type { Change, ChangeValue, StageFinding, StageValue, Verdict } from '../../src/statistics/finding.ts';

/**
 * Invented results, for drawing only: no room was measured, and nothing here follows from a method. Seeded, so that every
 * run draws the same.
 */

export const OCTAVES_HZ = [63, 125, 250, 500, 1000, 2000, 4000, 8000];
export const POSITIONS = ['A', 'B'];
const PROMISED = { 125: 0.2, 250: 0.5, 500: 0.8, 1000: 0.9, 2000: 0.9, 4000: 0.9 };
const BARE_S = [0.62, 0.55, 0.47, 0.44, 0.42, 0.4, 0.36, 0.3];

/** Mulberry32: a small seeded generator, 0 to 1. */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

export interface FixtureOptions {
  stages?: number;
  titles?: readonly string[];
  /** Bands that no stage could measure. */
  refused_hz?: readonly number[];
  takes?: number;
  quantity?: BandQuantity;
}

/** Invented results and traces of so many stages at two positions. */
export function inventedInput(options: FixtureOptions = {}): { results: Results; traces: ResponseTrace[] } {
  const count = options.stages ?? 3;
  const random = seeded(11);
  const titles = options.titles ?? ['Bare room', 'Wool curtains on the window wall', 'Panels and bass traps'];
  const ids = Array.from({ length: count }, (_, index) => `s${index + 1}`);
  const project = projectSchema.parse({
    decaybook: 1,
    title: 'An invented room',
    date: '2026-05-12',
    purpose: 'mixing',
    room: { length: 5.2, width: 3.6, height: 2.6 },
    positions: {
      A: { microphone: [2.1, 1.2, 1.4], source: [3.9, 2.4, 1.5] },
      B: { microphone: [1.2, 2.2, 1.4], source: [3.9, 2.4, 1.5] },
    },
    currency: 'EUR',
    stages: ids.map((id, index) => ({
      id,
      title: titles[index] ?? `Stage ${index + 1}`,
      treatments: index === 0 ? [] : [{ name: 'absorber', area: 4, cost: 180 + 35 * index, absorption: PROMISED }],
    })),
  });
  const refused = new Set(options.refused_hz ?? [63]);
  const quantity = options.quantity ?? 'tfull_s';
  const decay_s = (stage: number, band: number) =>
    BARE_S[band]! * (1 - (0.42 * (band / 7) ** 0.5 * stage) / Math.max(1, count - 1));
  const stages = ids.map((id, stage) => inventedStage({ id, stage, refused, decay_s, random }));
  const pairs: [number, number][] = ids.slice(1).map((_, index) => [index, index + 1]);
  if (count > 2) pairs.push([0, count - 1]);
  const changes = pairs.map(([from, to]) => inventedChange({ from: stages[from]!, to: stages[to]!, quantity }));
  const takes = ids.flatMap((id, stage) =>
    POSITIONS.flatMap((position) =>
      Array.from({ length: options.takes ?? 2 }, (_, take) =>
        inventedTake({ id, stage, position, take, decay_s, random }),
      ),
    ),
  );
  const traces = takes.flatMap((take) =>
    take.responses.map((response) =>
      inventedTrace({
        take,
        onset_s: response.onset_s,
        decay_s: (band) => decay_s(ids.indexOf(take.stage), band),
        random,
      }),
    ),
  );
  return {
    results: {
      format: 'decaybook-results/1',
      tool: { name: 'decaybook', version: '0.0.0' },
      project,
      takes,
      stages,
      changes,
      advice: whatNext({ project, stages, changes, materials: [], reflections: loudReflections(project) }),
    },
    traces,
  };
}

/** A loud reflection off each face at each position, so that there is something to be placed on the plan. */
function loudReflections(project: Project): PositionReflections[] {
  return Object.entries(project.positions).map(([position, { source, microphone }]) => {
    const geometry = { box: roomBox_m(project.room)!, source: source!, microphone: microphone!, speed_m_s: 343 };
    const found = firstReflections(geometry)!.map(({ delay_s, extra_path_m }) => ({
      delay_s,
      extra_path_m,
      level_db: -4 - 200 * delay_s,
    }));
    return { position, responses: [found] };
  });
}

/** A value with what charts read of it; the rest of its fields are left out, as no chart looks at them. */
function drawnPart<T>(part: Partial<T>): T {
  return part as T;
}

type Decay = (stage: number, band: number) => number;

function inventedStage(of: {
  id: string;
  stage: number;
  refused: Set<number>;
  decay_s: Decay;
  random: () => number;
}): StageFinding {
  const values: StageValue[] = [];
  const add = (quantity: BandQuantity, centre_hz: StageValue['centre_hz'], value: number | null, reach: number) =>
    values.push(
      drawnPart<StageValue>({
        quantity,
        width: 'octave',
        centre_hz,
        value,
        standard_uncertainty: value === null ? null : reach / 2.1,
        expanded_uncertainty: value === null ? null : reach,
        coverage_factor: value === null ? null : 2.1,
        dof: 12,
        responses: 8,
        positions: 2,
        scope: 'room',
        status: value === null ? 'unavailable' : centre_hz === 125 ? 'flagged' : 'measured',
        reasons: value === null ? ['range 18 dB, 20 needed'] : [],
        budget: [],
      }),
    );
  for (const [band, centre_hz] of OCTAVES_HZ.entries()) {
    const known = !of.refused.has(centre_hz) && !(centre_hz === 125 && of.stage === 1);
    const decay = of.decay_s(of.stage, band) * (0.97 + 0.06 * of.random());
    const reach = 0.03 + 0.09 * 2 ** -band;
    for (const quantity of ['tfull_s', 't20_s', 't30_s', 'edt_s'] as const)
      add(quantity, centre_hz, known ? decay : null, decay * reach);
    add('c50_db', centre_hz, known ? 10 * Math.log10(Math.exp((13.8155 * 0.05) / decay) - 1) : null, 0.9);
    add('late_level_db', centre_hz, known ? -2 - 4 * (0.42 / decay) : null, 0.7);
  }
  for (const quantity of ['tfull_s', 't20_s'] as const) add(quantity, 'mid', of.decay_s(of.stage, 3), 0.014);
  return { id: of.id, values };
}

function inventedChange(of: { from: StageFinding; to: StageFinding; quantity: BandQuantity }): Change {
  const values = of.from.values.map((before): ChangeValue => {
    const after = of.to.values.find(
      (value) => value.quantity === before.quantity && value.centre_hz === before.centre_hz,
    )!;
    const blank = {
      quantity: before.quantity,
      width: before.width,
      centre_hz: before.centre_hz,
      p_value: null,
      noticeable: 'unclear' as const,
      scope: 'room' as const,
      shared_positions: 2,
    };
    if (before.value === null || after.value === null) {
      const none = {
        difference: null,
        ratio: null,
        percent: null,
        low: null,
        high: null,
        percent_low: null,
        percent_high: null,
      };
      return drawnPart<ChangeValue>({
        ...blank,
        ...none,
        verdict: 'not-measurable',
        reasons: ['refused in one stage'],
      });
    }
    const difference = after.value - before.value;
    const reach = Math.hypot(before.expanded_uncertainty!, after.expanded_uncertainty!);
    const [low, high] = [difference - reach, difference + reach];
    const verdict: Verdict = high < 0 ? 'reduced' : low > 0 ? 'increased' : 'no-detectable-change';
    const time = before.quantity.endsWith('_s');
    const percent = (value: number) => (time ? (100 * value) / before.value! : null);
    return drawnPart<ChangeValue>({
      ...blank,
      difference,
      ratio: time ? after.value / before.value : null,
      percent: percent(difference),
      low,
      high,
      percent_low: percent(low),
      percent_high: percent(high),
      verdict,
      reasons: [],
    });
  });
  const mid = values.find((value) => value.quantity === of.quantity && value.centre_hz === 'mid');
  return {
    from: of.from.id,
    to: of.to.id,
    headline: {
      quantity: of.quantity,
      bands_hz: [500, 1000],
      ratio: mid?.ratio ?? null,
      low: 0.6,
      high: 0.8,
      percent: mid?.percent ?? null,
      percent_low: mid?.percent_low ?? null,
      percent_high: mid?.percent_high ?? null,
      verdict: mid?.verdict ?? 'not-measurable',
      noticeable: 'yes',
      scope: 'room',
      reasons: [],
    },
    values,
    warnings: [],
  };
}

function inventedTake(of: {
  id: string;
  stage: number;
  position: string;
  take: number;
  decay_s: Decay;
  random: () => number;
}): TakeResult {
  const file = `recordings/${of.id}/${of.position}/0${of.take + 1}.wav`;
  const responses = [1.2, 4.4].map((onset_s) => ({
    onset_s,
    used: true,
    faults: [],
    bands: OCTAVES_HZ.map((centre_hz, band) => inventedReading(centre_hz, of.decay_s(of.stage, band), of.random)),
    reflections: [3.1, 4.6, 7.9, 12.4, 21].map((delay_ms, index) => ({
      delay_s: delay_ms / 1000,
      extra_path_m: (343 * delay_ms) / 1000,
      level_db: Math.max(-20, -4 - 2.4 * index - 3 * Math.min(2, of.stage) - 2 * of.random()),
    })),
  }));
  return {
    file,
    sha256: 'ab'.repeat(32),
    stage: of.id,
    position: of.position,
    kind: 'impulse',
    rate_hz: 48000,
    seconds: 9.6,
    channel: 1,
    used: true,
    faults: [],
    responses,
  };
}

function inventedReading(centre_hz: number, decay_s: number, random: () => number): BandReading {
  return {
    width: 'octave',
    centre_hz,
    range_db: Math.min(62, 14 + 9 * Math.log2(centre_hz / 63) + 12 * random()),
    edt_s: decay_s,
    t20_s: decay_s,
    t30_s: decay_s,
    tfull_s: decay_s,
    tfull_standard_error_s: 0.01,
    nonlinearity_permille: 2,
    curvature_percent: 3,
    c50_db: 12,
    c80_db: 18,
    d50: 0.9,
    ts_s: 0.02,
    late_level_db: -8,
    two_slopes: null,
    refusals: {},
    flags: {},
  };
}

function inventedTrace(of: {
  take: TakeResult;
  onset_s: number;
  decay_s: (band: number) => number;
  random: () => number;
}): ResponseTrace {
  const { random } = of;
  const curves = OCTAVES_HZ.map((centre_hz, band): DecayCurve => {
    const noise_db = -30 - 3.5 * band - 3 * random();
    const truncation_s = (of.decay_s(band) * (-noise_db - 4)) / 60;
    const points = Math.ceil((truncation_s * 1.6) / 0.002);
    return {
      width: 'octave',
      centre_hz,
      step_s: 0.002,
      level_db: Array.from({ length: points }, (_, index) => {
        const level = (-60 * index * 0.002) / of.decay_s(band);
        return (
          10 * Math.log10(10 ** (level / 10) + 0.3 * 10 ** (noise_db / 10)) +
          0.4 * Math.sin(index / 7) * (index > 3 ? 1 : 0)
        );
      }),
      noise_db,
      truncation_s,
    };
  });
  const step_s = 0.0002;
  const early_db = Array.from({ length: 250 }, (_, index) => {
    const time_s = index * step_s;
    const dense = -14 - (60 * time_s) / of.decay_s(4) + 8 * (random() - 0.6);
    const direct = -((time_s / 0.0005) ** 2) * 6;
    const bumps = of.take.responses[0]!.reflections.map(
      (one) => one.level_db - 6 * ((time_s - one.delay_s) / 0.0004) ** 2,
    );
    return Math.max(dense, direct, ...bumps);
  });
  return {
    file: of.take.file,
    stage: of.take.stage,
    position: of.take.position,
    onset_s: of.onset_s,
    curves,
    early: { step_s, level_db: early_db },
  };
}

/** An invented target. */
export const TARGET = [125, 250, 500, 1000, 2000, 4000].map((centre_hz) => ({
  centre_hz,
  low_s: 0.2,
  high_s: centre_hz === 125 ? 0.42 : 0.3,
}));
