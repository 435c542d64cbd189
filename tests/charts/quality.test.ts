import { describe, expect, it } from 'vitest';
import { buildCharts } from '../../src/charts/build-charts.ts';
import { fileLabels, rangeClass, TAKES_A_CHART } from '../../src/charts/quality.ts';
import { takeRange } from '../../src/charts/rows.ts';
import { inventedInput } from './fixture.ts';

describe('rangeClass', () => {
  // ISO 3382-1:2009, 4.2.1 and 5.3: the noise at least 35 dB below for T20, 45 dB for T30.
  it.each([
    [45, 't30'],
    [44.9, 't20'],
    [35, 't20'],
    [34.9, 'edt'],
    [20, 'edt'],
    [19.9, 'none'],
    [null, 'none'],
  ] as const)('%s dB is of class %s', (range_db, name) => expect(rangeClass(range_db)).toBe(name));
});

describe('takeRange', () => {
  const take = () => structuredClone(inventedInput().results.takes[0]!);
  const at1k = (from: ReturnType<typeof take>) =>
    takeRange(from).ranges.find((cell) => cell.centre_hz === 1000)!.range_db;

  it('is the least of the used responses', () => {
    const it = take();
    const ranges = it.responses.map((response) => response.bands.find((band) => band.centre_hz === 1000)!.range_db!);
    expect(at1k(it)).toBe(Math.min(...ranges));
  });
  it('leaves out responses that were set aside', () => {
    const it = take();
    it.responses[0]!.used = false;
    expect(at1k(it)).toBe(it.responses[1]!.bands.find((band) => band.centre_hz === 1000)!.range_db);
  });
  it('is unknown where one of them is', () => {
    const it = take();
    it.responses[0]!.bands.find((band) => band.centre_hz === 1000)!.range_db = null;
    expect(at1k(it)).toBeNull();
  });
});

describe('the chart of ranges', () => {
  it('takes another page when the takes do not fit one, and loses none', () => {
    const input = inventedInput({ stages: 12, takes: 3 });
    const pages = buildCharts({ ...input, target: null, accent: null }).filter((chart) =>
      chart.id.startsWith('quality'),
    );
    expect(pages.map((chart) => chart.id)).toEqual(['quality', 'quality-2', 'quality-3']);
    const rows = pages.flatMap((chart) => (chart.spec as unknown as { data: { values: object[] } }).data.values);
    expect(rows).toHaveLength(72 * 8);
    expect(72 / 3).toBeLessThanOrEqual(TAKES_A_CHART);
  });
});

describe('fileLabels', () => {
  it('leaves out the folder that all share', () =>
    expect(fileLabels(['recordings/bare/A/01.wav'])).toEqual(['bare/A/01.wav']));
  it('keeps the end of a long path, where takes differ', () => {
    const [label] = fileLabels([`recordings/${'deep/'.repeat(30)}A/01.wav`]);
    expect(label).toMatch(/^….*A\/01\.wav$/);
    expect(label).toHaveLength(30);
  });
  it('numbers paths that end alike', () => {
    const end = `${'x'.repeat(40)}.wav`;
    expect(new Set(fileLabels([`a/${end}`, `b/${end}`])).size).toBe(2);
  });
});
