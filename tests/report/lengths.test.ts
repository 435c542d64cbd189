import { describe, expect, it } from 'vitest';
import { chartsOf } from '../../pipeline/chart.ts';
import { drawCharts } from '../../pipeline/draw.ts';
import { lengthsOf } from '../../src/report/lengths.ts';
import { fixtureDocument, fixtureTarget } from './build-fixture.ts';
import { documentLines } from './document-text.ts';
import { fixtureResults, SHAPES } from './fixture.ts';

describe('lengthsOf(project, locale)', () => {
  it('writes metres and millimetres, or feet of 0.3048 m and inches of 25.4 mm', () => {
    const metric = lengthsOf({ units: 'metres' }, 'de');
    expect([metric.whole(5.2, 2), metric.small(50)]).toEqual(['5,20\u00a0m', '50\u00a0mm']);
    const feet = lengthsOf({ units: 'feet' }, 'en');
    expect([feet.whole(3.048, 2), feet.small(50.8)]).toEqual(['10.0\u00a0ft', '2.0\u00a0in']);
  });
});

describe('a report in feet', () => {
  const invented = fixtureResults(SHAPES.studio);
  const results = { ...invented, project: { ...invented.project, units: 'feet' as const } };

  it('gives the edges of the room, the positions and the depths in feet and inches', () => {
    const text = documentLines(fixtureDocument(results)).join('\n');
    expect(text).toContain('17.1 × 11.8 × 8.5\u00a0ft');
    expect(text).toContain('in feet along length, width and height');
    expect(text).toContain('6.9 · 3.9 · 4.6');
    expect(text).toContain('0.1\u00a0in thick, 3.9\u00a0in air behind');
  });

  it('draws the plan with a label every second foot', async () => {
    const drawn = await drawCharts(chartsOf(results, { traces: [], target: fixtureTarget(results) }));
    const plan = drawn.find(({ chart }) => chart.id === 'room-plan')!;
    expect(plan.svg).toContain('Along the length, ft');
    expect(plan.svg).toMatch(/>16<\/text>/);
    expect(plan.chart.alt).toContain('The room is 17.1\u00a0ft long and 11.8\u00a0ft wide.');
  });
});
