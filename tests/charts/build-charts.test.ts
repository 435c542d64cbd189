import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { Ajv } from 'ajv';
import { compile } from 'vega-lite';
import { describe, expect, it } from 'vitest';
import { buildCharts, drawnQuantity, planCharts } from '../../src/charts/build-charts.ts';
import { isDrawn } from '../../src/charts/chart.ts';
import { labelStages } from '../../src/charts/stage-label.ts';
import { mainPair, planTakeCharts } from '../../src/charts/take-charts.ts';
import { FIGURE_KINDS } from '../../src/report/figure.ts';
import { estimateWithUnit } from '../../src/report/phrases.ts';
import type { Change } from '../../src/statistics/finding.ts';
import { collectingLogger } from './collecting-logger.ts';
import { type FixtureOptions, inventedInput, TARGET } from './fixture.ts';

const schema = JSON.parse(
  readFileSync(createRequire(import.meta.url).resolve('vega-lite/vega-lite-schema.json'), 'utf8'),
);
const valid = new Ajv({ strict: false, validateFormats: false }).compile(schema);

const build = (options: FixtureOptions = {}) => planCharts({ ...inventedInput(options), target: TARGET, accent: null });

const CASES: [string, FixtureOptions][] = [
  ['two stages', { stages: 2 }],
  ['three stages', {}],
  ['twelve stages', { stages: 12 }],
  ['three refused bands', { refused_hz: [63, 125, 8000] }],
  ['markup for titles', { titles: ['<b>"x"</b>', "'; alert(1) //", '\u0000\u202eabc'] }],
  ['equal titles', { titles: ['Room', 'Room', 'Room (s1)'] }],
];

describe('buildCharts', () => {
  it.each(CASES)('writes specs that the schema of vega-lite accepts: %s', (_, options) => {
    for (const chart of build(options).charts) {
      valid(chart.spec);
      expect(valid.errors, chart.id).toBeNull();
    }
  });

  it.each(CASES)('writes specs that compile without a warning: %s', (_, options) => {
    for (const chart of build(options).charts) {
      const warnings: string[] = [];
      compile(chart.spec, { logger: collectingLogger(warnings) });
      expect(warnings, chart.id).toEqual([]);
    }
  });

  it('draws every kind of chart that the report knows, each under an id of its own', () => {
    const ids = build().charts.map((chart) => chart.id);
    expect(new Set(ids).size).toBe(ids.length);
    for (const kind of FIGURE_KINDS)
      expect(
        ids.some((id) => id === kind || id.startsWith(`${kind}--`)),
        kind,
      ).toBe(true);
  });

  it('leaves the results as they were and says the same twice', () => {
    const input = { ...inventedInput(), target: TARGET, accent: null };
    const before = JSON.stringify(input);
    const first = JSON.stringify(buildCharts(input));
    expect(JSON.stringify(input)).toBe(before);
    expect(JSON.stringify(buildCharts(input))).toBe(first);
  });

  it('draws values and intervals as the results hold them', () => {
    const { results } = inventedInput();
    const spec = JSON.stringify(build().charts.find((chart) => chart.id === 'decay-by-band')!.spec);
    const drawn = results.stages.flatMap((stage) =>
      stage.values.filter((row) => row.quantity === 'tfull_s' && row.width === 'octave' && row.centre_hz !== 'mid'),
    );
    const measured = drawn.filter((row) => row.value !== null);
    expect(measured.length).toBeGreaterThan(15);
    for (const { value, expanded_uncertainty } of measured) {
      expect(spec).toContain(
        `"value":${value},"low":${value! - expanded_uncertainty!},"high":${value! + expanded_uncertainty!}`,
      );
    }
  });

  it('never draws a refused value: it has a mark of its own and no number', () => {
    const chart = build({ refused_hz: [63] }).charts.find((it) => it.id === 'decay-by-band')!;
    const rows = numbersNear(chart.spec, 63);
    expect(rows).toHaveLength(6);
    for (const row of rows) expect([row.value ?? null, row.low ?? null, row.high ?? null]).toEqual([null, null, null]);
    expect(chart.alt).toContain('Bare room: not measurable at 63 Hz.');
  });

  it('marks a flagged value with a star, says what that means, and tells which they are', () => {
    const chart = build().charts.find((it) => it.id === 'decay-by-band')!;
    expect(JSON.stringify(chart.spec)).toContain('* to be read with care');
    expect(chart.alt).toContain('Bare room: to be read with care at 125 Hz.');
  });

  it('draws no interval where there is none', () => {
    const input = inventedInput();
    for (const value of input.results.stages[0]!.values) value.expanded_uncertainty = null;
    const chart = buildCharts({ ...input, target: null, accent: null }).find((it) => it.id === 'decay-by-band')!;
    const rows = numbersNear(chart.spec, 500).filter((row) => row.stage === 'Bare room');
    expect(rows).toMatchObject([{ value: expect.any(Number), low: null, high: null }]);
  });

  it('tells every number that it draws in its description, rounded as the tables round it', () => {
    const { results } = inventedInput();
    const chart = build().charts.find((it) => it.id === 'decay-by-band')!;
    const value = results.stages[2]!.values.find((row) => row.quantity === 'tfull_s' && row.centre_hz === 1000)!;
    expect(chart.alt).toContain(`Panels and bass traps: `);
    expect(chart.alt).toContain(`${estimateWithUnit(value, 'en')} at 1 kHz`);
    expect(chart.alt).toContain('Bars are 95 % intervals.');
  });

  it('skips what it cannot fill, with a reason, and draws nothing empty', () => {
    const input = inventedInput({ stages: 1 });
    const { charts, skipped } = planCharts({ results: input.results, traces: [], target: null, accent: null });
    expect(charts.map((chart) => chart.id)).toEqual([
      'decay-by-band',
      'clarity-by-band',
      'quality',
      'room-plan',
      'reflection-plan',
      'room-modes',
    ]);
    expect(skipped).toEqual([
      { id: 'cover-change', reason: 'there is only one stage' },
      { id: 'progress', reason: 'there is only one stage' },
      { id: 'gain-by-band', reason: 'no change could be measured' },
    ]);
  });

  it('skips curves and reflections where no response is kept on both sides', () => {
    const input = inventedInput();
    const traces = input.traces.filter((trace) => trace.stage !== 's3');
    const { skipped } = planCharts({ ...input, traces, target: null, accent: null });
    expect(skipped.map((it) => it.id)).toEqual([
      'decay-curves--s1--s3',
      'energy-map--s1--s3',
      'early-reflections--s1--s3',
    ]);
  });

  it('skips a comparison of which no band could be measured', () => {
    const all = [63, 125, 250, 500, 1000, 2000, 4000, 8000];
    const { charts } = build({ refused_hz: all });
    expect(charts.map((chart) => chart.id)).not.toContain('change-by-band--s1--s2');
    expect(charts.map((chart) => chart.id)).not.toContain('decay-by-band');
  });
});

describe('drawnQuantity', () => {
  const change = (quantity: Change['headline']['quantity']) => ({ headline: { quantity } }) as Change;

  it('is the one that every headline rests on', () =>
    expect(drawnQuantity([change('t30_s'), change('t30_s')])).toBe('t30_s'));
  it('is T20 where headlines differ', () => expect(drawnQuantity([change('t30_s'), change('tfull_s')])).toBe('t20_s'));
  it('is T20 where there is no headline', () => expect(drawnQuantity([change(null)])).toBe('t20_s'));
  it('is T20 where nothing is compared', () => expect(drawnQuantity([])).toBe('t20_s'));
});

describe('mainPair', () => {
  it('is the one from the first stage to the last, wherever it stands', () => {
    const { results } = inventedInput();
    const stages = labelStages(results.project.stages, '#000000');
    expect(mainPair(results.changes.toReversed(), stages)).toMatchObject({ from: 's1', to: 's3' });
  });
  it('is the last one listed where first and last are not compared', () => {
    const { results } = inventedInput();
    const stages = labelStages(results.project.stages, '#000000');
    expect(mainPair(results.changes.slice(0, 2), stages)).toMatchObject({ from: 's2', to: 's3' });
  });
  it('is none where nothing is compared', () => expect(mainPair([], [])).toBeNull());
});

/** Every row of a spec whose place on the frequency axis lies within the octave. */
function numbersNear(spec: object, centre_hz: number): Record<string, unknown>[] {
  const found: Record<string, unknown>[] = [];
  JSON.parse(JSON.stringify(spec), (_, value) => {
    const x = (value as { x_hz?: unknown } | null)?.x_hz;
    if (typeof x === 'number' && x > centre_hz / Math.SQRT2 && x < centre_hz * Math.SQRT2) found.push(value);
    return value;
  });
  return found;
}

describe('planTakeCharts(found)', () => {
  it.each(CASES)('gives, before anything is compared, what will stand in the report: %s', (_, options) => {
    const { results, traces } = inventedInput(options);
    const { project, takes, changes } = results;
    const pairs = changes.map(({ from, to }) => ({ from, to }));
    const ofTakes = planTakeCharts({ project, takes, traces, pairs, accent: '#2b4a66' });
    const ahead = [...ofTakes.curves, ...ofTakes.takes].filter(isDrawn);
    const input = { results, traces, target: TARGET, accent: '#2b4a66' };
    const built = buildCharts(input);
    expect(ahead.map(({ id }) => id.replace(/--.*/, ''))).toEqual(
      expect.arrayContaining(['decay-curves', 'energy-map', 'early-reflections', 'quality', 'room-plan']),
    );
    for (const chart of ahead) expect(chart).toEqual(built.find(({ id }) => id === chart.id));
    expect(buildCharts({ ...input, ofTakes })).toEqual(built);
  });
});
