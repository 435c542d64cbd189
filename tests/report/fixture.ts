/**
 * Results of measurements that never took place, made by a seeded generator: rooms, decays and faults are all invented. They
 * have the shape of real ones, so that a report can be built and looked at without recordings.
 */
import type { Fault } from '../../src/audio/faults.ts';
import { type Project, projectSchema } from '../../src/project/project.ts';
import { type Figure, type FigureKind, figureId } from '../../src/report/figure.ts';
import type { ResponseResult, Results, TakeResult } from '../../src/report/results.ts';
import { BAND_QUANTITIES, type BandQuantity } from '../../src/room/reading.ts';
import type { Centre, Change, ChangeValue, Scope, StageFinding, StageValue } from '../../src/statistics/finding.ts';

const OCTAVES: number[] = [63, 125, 250, 500, 1000, 2000, 4000, 8000];
const CENTRES: Centre[] = [...OCTAVES, 'mid'];
const TIMES: BandQuantity[] = ['edt_s', 't20_s', 't30_s', 'tfull_s'];

export interface Shape {
  seed: number;
  project: Record<string, unknown>;
  positions: string[];
  takesEach: number;
  /** Decay at 1 kHz stage by stage in seconds; null: the stage could not be measured. */
  decays_s: (number | null)[];
}

/** mulberry32, public domain: numbers from 0 to 1, the same for the same seed. */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

const STUDIO = {
  decaybook: 1,
  title: 'Story booth, Harbour Lane workshop (invented)',
  reference: 'HLW-07',
  client: 'Harbour Lane makers’ co-operative',
  prepared_by: 'Northlight room survey',
  date: '2026-05-12',
  purpose: 'speech-recording',
  room: { length: 5.2, width: 3.6, height: 2.6, temperature: 21, humidity: 45 },
  microphone: { description: 'omnidirectional condenser on a stand', pattern: 'omnidirectional' },
  source: { description: 'hand clap', kind: 'clap' },
  recorder: { description: 'portable recorder', fixed_gain: true, processing_off: true },
  positions: {
    A: { microphone: [2.1, 1.2, 1.4], source: [3.9, 2.4, 1.5], note: 'desk' },
    B: { microphone: [1.2, 2.2, 1.4], source: [3.9, 2.4, 1.5] },
  },
  stages: [
    { id: 'bare', title: 'Bare room', date: '2026-04-02' },
    {
      id: 'curtains',
      title: 'Wool curtains on the window wall',
      date: '2026-04-20',
      treatments: [{ name: 'wool serge curtain, double fullness', area: 6.4, thickness: 3, air_gap: 100, cost: 210 }],
    },
    {
      id: 'panels',
      title: 'Panels on two walls',
      date: '2026-05-04',
      note: 'door open a hand wide',
      treatments: [
        { name: 'mineral wool panel, cloth faced', area: 8.6, thickness: 60, air_gap: 50, cost: 640 },
        { name: 'ceiling cloud', area: 2.9, thickness: 60, air_gap: 120, cost: 280 },
      ],
    },
  ],
  currency: 'EUR',
  branding: { colour: '#2b4a66', address: 'Quay Road 4, Harbour Lane' },
};

export const SHAPES = {
  studio: { seed: 1, project: STUDIO, positions: ['A', 'B'], takesEach: 4, decays_s: [0.62, 0.47, 0.31] },
  bedroom: {
    seed: 2,
    project: {
      decaybook: 1,
      title: 'Bedroom practice corner (invented)',
      date: '2026-03-01',
      purpose: 'other',
      audience: 'self',
      room: { length: 4.1, width: 3.2, height: 2.5 },
      stages: [
        { id: 'before', title: 'Before' },
        { id: 'after', title: 'After', treatments: [{ name: 'two duvets on the wall', area: 4.2 }] },
      ],
    },
    positions: ['A'],
    takesEach: 5,
    decays_s: [0.38, 0.37],
  },
  silent: {
    seed: 3,
    project: { ...STUDIO, title: 'Annexe (invented)', stages: STUDIO.stages.slice(0, 2) },
    positions: ['A', 'B'],
    takesEach: 3,
    decays_s: [0.62, null],
  },
  large: {
    seed: 4,
    project: {
      ...STUDIO,
      title: 'Twelve stages of one hall (invented)',
      stages: Array.from({ length: 12 }, (_, index) => ({
        id: `s${index + 1}`,
        title: `Stage ${index + 1}: ${index === 0 ? 'as found' : `bay ${index} lined`}`,
        date: `2026-0${1 + Math.floor(index / 2)}-1${index % 2}`,
        treatments: index === 0 ? [] : [{ name: `lining of bay ${index}`, area: 2 + index, cost: 90 * index }],
      })),
    },
    positions: ['A', 'B', 'C', 'D'],
    takesEach: 10,
    decays_s: Array.from({ length: 12 }, (_, index) => 1.1 - 0.06 * index),
  },
  hostile: {
    seed: 5,
    project: {
      ...STUDIO,
      title: `<script>document.title='run'</script> "quotes" & 'more' \u{1f3a4} ${'endless '.repeat(1250)}`,
      client: 'חדר מוזיקה — <img src=x onerror=alert(1)>',
      reference: '</style><b>"ref"\\',
      prepared_by: 'x'.repeat(10_000),
      stages: [
        { id: 'a', title: '<b>bold</b> {curly} <ref>nowhere</ref>', note: '"><svg onload=alert(1)>' },
        {
          id: 'b',
          title: `أستوديو ${'long'.repeat(2500)}`,
          treatments: [{ name: `</table>${'y'.repeat(10_000)}`, area: 3 }],
        },
      ],
      branding: { colour: '#ffee00', address: 'one\ntwo</style>\nthree' },
    },
    positions: ['A'],
    takesEach: 3,
    decays_s: [0.5, 0.4],
  },
} satisfies Record<string, Shape>;

/** A project as the fixture states it, read by the real schema. */
export function fixtureProject(shape: Shape): Project {
  return projectSchema.parse(shape.project);
}

/** The whole of results.json for an invented measurement. */
export function fixtureResults(shape: Shape): Results {
  const random = seededRandom(shape.seed);
  const project = fixtureProject(shape);
  const scope: Scope = shape.positions.length > 1 ? 'room' : 'position';
  const stages = project.stages.map((stage, index) =>
    stageFinding({ id: stage.id, decay_s: shape.decays_s[index] ?? null, shape, scope, random }),
  );
  const pairs: [number, number][] = stages.slice(1).map((_, index) => [index, index + 1]);
  if (stages.length > 2) pairs.push([0, stages.length - 1]);
  const changes = pairs.map(([from, to]) => changeBetween(stages[from]!, stages[to]!, scope));
  if (changes[0] && project.stages.length === 3) {
    changes[0].warnings.push('The air was 6 degrees warmer in the later stage.');
  }
  const takes = project.stages.flatMap((stage, index) => stageTakes(stage.id, index, shape, random));
  return {
    format: 'decaybook-results/1',
    tool: { name: 'decaybook', version: '0.0.0' },
    project,
    takes,
    stages,
    changes,
  };
}

interface StageMaking {
  id: string;
  decay_s: number | null;
  shape: Shape;
  scope: Scope;
  random: () => number;
}

function stageFinding(making: StageMaking): StageFinding {
  return {
    id: making.id,
    values: CENTRES.flatMap((centre) => BAND_QUANTITIES.map((it) => stageValue(making, it, centre))),
  };
}

function stageValue(making: StageMaking, quantity: BandQuantity, centre_hz: Centre): StageValue {
  const { shape, random, scope } = making;
  const octave = centre_hz === 'mid' ? 3.5 : OCTAVES.indexOf(centre_hz);
  const decay_s = making.decay_s === null ? null : making.decay_s * (1.5 - 0.11 * octave + 0.04 * random());
  const refusal =
    decay_s === null
      ? 'no response stands far enough above the noise'
      : octave === 0
        ? 'a hand clap gives too little energy at 63 Hz'
        : quantity === 't30_s' && octave === 1
          ? 'range 41 dB, 45 needed'
          : null;
  const known = idealReading(quantity, decay_s ?? 1);
  const standard = known.spread * (0.8 + 0.4 * random()) * (quantity === 'tfull_s' ? 0.55 : 1);
  const factor = 2.16;
  return {
    quantity,
    width: 'octave',
    centre_hz,
    value: refusal ? null : known.value,
    standard_uncertainty: refusal ? null : standard,
    expanded_uncertainty: refusal ? null : factor * standard,
    coverage_factor: refusal ? null : factor,
    dof: refusal ? null : 13,
    responses: refusal ? 0 : shape.positions.length * shape.takesEach,
    positions: refusal ? 0 : shape.positions.length,
    scope,
    status: refusal ? 'unavailable' : octave === 1 ? 'flagged' : 'measured',
    reasons: refusal ? [refusal] : octave === 1 ? ['the decay bends: curvature 12 %'] : [],
    budget: refusal
      ? []
      : [
          { source: 'positions', standard_uncertainty: standard * 0.9, dof: scope === 'room' ? 9 : null },
          { source: 'repeatability', standard_uncertainty: standard * 0.38, dof: 14 },
          { source: 'fit', standard_uncertainty: standard * 0.21, dof: null },
        ],
    overdispersion: refusal ? null : 1.1,
    overdispersion_assumed: scope === 'position',
  };
}

/** What an ideal decay of that length would read, and how far such readings spread. */
function idealReading(quantity: BandQuantity, decay_s: number): { value: number; spread: number } {
  const rate = 13.8155 / decay_s;
  const clarity_db = (after_s: number) => 10 * Math.log10(Math.expm1(rate * after_s));
  switch (quantity) {
    case 'c50_db':
      return { value: clarity_db(0.05), spread: 0.4 };
    case 'c80_db':
      return { value: clarity_db(0.08), spread: 0.5 };
    case 'd50':
      return { value: -Math.expm1(-rate * 0.05), spread: 0.012 };
    case 'ts_s':
      return { value: 1 / rate, spread: 0.0012 };
    case 'late_level_db':
      return { value: -2 + 10 * Math.log10(decay_s), spread: 0.5 };
    default:
      return { value: decay_s, spread: 0.035 * decay_s };
  }
}

function changeBetween(from: StageFinding, to: StageFinding, scope: Scope): Change {
  const values = from.values.map((before, index) => valueChange(before, to.values[index]!, scope));
  const mid = values.find((value) => value.quantity === 'tfull_s' && value.centre_hz === 'mid')!;
  const ratio = (percent: number | null) => (percent === null ? null : 1 + percent / 100);
  return {
    from: from.id,
    to: to.id,
    values,
    warnings: [],
    headline: {
      quantity: mid.verdict === 'not-measurable' ? null : 'tfull_s',
      bands_hz: mid.verdict === 'not-measurable' ? [] : [500, 1000],
      ratio: mid.ratio,
      low: ratio(mid.percent_low),
      high: ratio(mid.percent_high),
      percent: mid.percent,
      percent_low: mid.percent_low,
      percent_high: mid.percent_high,
      verdict: mid.verdict,
      noticeable: mid.noticeable,
      scope,
      reasons: mid.reasons,
    },
  };
}

/** What no part of a report reads. */
const UNTOLD = {
  p_value: null,
  p_holm: null,
  standard_uncertainty: null,
  dof: null,
  coverage_factor: null,
  budget: [],
  correlation: 0,
  air_percent: null,
  to_settle: null,
};

function valueChange(before: StageValue, after: StageValue, scope: Scope): ChangeValue {
  const { quantity, width, centre_hz } = before;
  const shared = { quantity, width, centre_hz, scope, shared_positions: before.positions };
  if (before.value === null || after.value === null) {
    const nothing = { ...UNTOLD, difference: null, ratio: null, percent: null, low: null, high: null };
    const open = { percent_low: null, percent_high: null, verdict: 'not-measurable', noticeable: 'unclear' } as const;
    return { ...shared, ...nothing, ...open, reasons: [...new Set([...before.reasons, ...after.reasons])] };
  }
  const time = TIMES.includes(quantity);
  const difference = after.value - before.value;
  const reach = 2.1 * Math.hypot(before.standard_uncertainty!, after.standard_uncertainty!);
  const [low, high] = [difference - reach, difference + reach];
  const percent = (value: number) => (time ? (100 * value) / before.value! : null);
  const verdict = high < 0 ? 'reduced' : low > 0 ? 'increased' : 'no-detectable-change';
  const limit = time ? 0.05 * before.value : 1;
  const beyond = low > limit || high < -limit;
  return {
    ...UNTOLD,
    ...shared,
    difference,
    ratio: time ? after.value / before.value : null,
    percent: percent(difference),
    low,
    high,
    percent_low: percent(low),
    percent_high: percent(high),
    verdict,
    noticeable: beyond ? 'yes' : low > -limit && high < limit ? 'no' : 'unclear',
    reasons: [],
  };
}

const CLIPPED: Fault = {
  code: 'clipped',
  severity: 'reject',
  message: 'Clipped: 212 samples stand at full scale. Lower the gain by 6 dB and record it again.',
};
const HUM: Fault = { code: 'mains-hum', severity: 'warn', message: 'Mains hum at 50 Hz, 38 dB under the clap.' };

function stageTakes(stage: string, index: number, shape: Shape, random: () => number): TakeResult[] {
  return shape.positions.flatMap((position, place) =>
    Array.from({ length: shape.takesEach }, (_, number): TakeResult => {
      const clipped = index === 1 && place === 0 && number === 1;
      const measured = shape.decays_s[index] !== null;
      return {
        file: `recordings/${stage}/${position}/${String(number + 1).padStart(2, '0')}.wav`,
        sha256: null,
        stage,
        position,
        kind: 'impulse',
        rate_hz: 48000,
        seconds: 6 + random(),
        channel: 1,
        used: measured && !clipped,
        faults: clipped || !measured ? [CLIPPED] : number === 2 ? [HUM] : [],
        responses: clipped ? [] : [response(measured, random)],
      };
    }),
  );
}

function response(used: boolean, random: () => number): ResponseResult {
  const reflections = [2.3, 5.8, 9.4, 17.2].map((delay_ms) => ({
    delay_s: delay_ms / 1000,
    extra_path_m: (343 * delay_ms) / 1000,
    level_db: -6 - delay_ms / 2 - 3 * random(),
  }));
  return { onset_s: 1 + random(), used, faults: [], bands: [], reflections };
}

/** Stand-ins for the charts. */
export function fixtureFigures(results: Results): Figure[] {
  return frames(results).map(({ figure }) => figure);
}

/** Their drawings: a frame of the right proportions, so that the tests of a report do not wait for vega. */
export function fixtureDrawings(results: Results): Map<string, string> {
  return new Map(frames(results).map(({ figure, svg }) => [figure.id, svg]));
}

function frames(results: Results): { figure: Figure; svg: string }[] {
  const change = results.changes.at(-1);
  const frame = (kind: FigureKind, height: number, paired = false) => {
    const id = figureId(kind, paired ? change : undefined);
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 560 ${height}" role="img" aria-label="Stand-in for a chart"><rect width="560" height="${height}" fill="#f0f2f4"/><text x="20" y="30" font-size="11" font-family="Source Sans 3">${kind}</text></svg>`;
    return { figure: { id, title: `Stand-in for ${kind}`, alt: 'Stand-in for a chart' }, svg };
  };
  if (!change) return [];
  return [
    frame('cover-change', 200, true),
    frame('decay-by-band', 230),
    frame('change-by-band', 230, true),
    frame('decay-curves', 480, true),
    frame('early-reflections', 260, true),
    frame('clarity-by-band', 230),
    frame('late-level', 230, true),
    ...(results.changes.length > 1 ? [frame('progress', 200)] : []),
    frame('quality', 300),
  ];
}
