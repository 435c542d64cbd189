import { describe, expect, test } from 'vitest';
import { changeTable } from '../../pipeline/change-table.ts';
import { PLAIN } from '../../pipeline/terminal.ts';
import { parseProject } from '../../src/project/parse-project.ts';
import type { Results } from '../../src/report/results.ts';
import type { Change, ChangeValue, Headline, StageValue } from '../../src/statistics/finding.ts';

const project = parseProject(
  'decaybook: 1\ntitle: Room\ndate: 2026-05-12\nstages: [{id: bare, title: Bare room}, {id: felt, title: Felt tiles}]\n',
  'project.yaml',
).project!;

const NO_HEADLINE: Headline = {
  quantity: null,
  bands_hz: [],
  ratio: null,
  low: null,
  high: null,
  percent: null,
  percent_low: null,
  percent_high: null,
  verdict: 'not-measurable',
  noticeable: 'unclear',
  scope: 'room',
  reasons: ['no response of stage felt is used'],
};

/** What the table reads of a stage value. */
function stageValue(centre_hz: number, value: number | null, expanded_uncertainty: number | null): StageValue {
  return { quantity: 't20_s', width: 'octave', centre_hz, value, expanded_uncertainty } as StageValue;
}

/** What the table reads of a change. */
function changeValue(centre_hz: number, rest: Partial<ChangeValue>): ChangeValue {
  const unknown = { percent: null, percent_low: null, percent_high: null, verdict: 'not-measurable' } as const;
  return { quantity: 't20_s', width: 'octave', centre_hz, reasons: [] as string[], ...unknown, ...rest } as ChangeValue;
}

function results(change: Partial<Change>): Results {
  const before = [stageValue(125, null, null), stageValue(500, 0.62, 0.02), stageValue(1000, 0.6, 0.02)];
  const after = [stageValue(125, 0.5, 0.2), stageValue(500, 0.484, 0.0123), stageValue(1000, 0.59, 0.03)];
  const whole = { from: 'bare', to: 'felt', headline: NO_HEADLINE, values: [], warnings: [], ...change };
  return {
    format: 'decaybook-results/1',
    tool: { name: 'decaybook', version: '0' },
    project,
    takes: [],
    stages: [
      { id: 'bare', values: before },
      { id: 'felt', values: after },
    ],
    changes: [whole],
  };
}

describe('changeTable', () => {
  test('gives the headline, then each octave with before, after, change, interval and verdict, within 80 columns', () => {
    const headline: Headline = {
      ...NO_HEADLINE,
      quantity: 't20_s',
      bands_hz: [500, 1000],
      percent: -12.3,
      percent_low: -18.2,
      percent_high: -5.9,
      verdict: 'reduced',
      reasons: [],
    };
    const values = [
      changeValue(125, {}),
      changeValue(500, { percent: -21.9, percent_low: -28.4, percent_high: -14.7, verdict: 'reduced' }),
      changeValue(1000, { percent: -1.7, percent_low: -8.2, percent_high: 5.3, verdict: 'no-detectable-change' }),
      changeValue(1000, { width: 'third-octave', percent: -90 }),
      { ...changeValue(500, { percent: -90 }), centre_hz: 'mid' as const },
    ];
    const text = changeTable(results({ headline, values }), PLAIN);
    expect(text).toBe(
      [
        'Bare room -> Felt tiles',
        '  T20, 500 Hz and 1 kHz: reduced by 12 % (95 % interval 6 to 18 %).',
        '',
        '  Band     Before    After  Change  95 % interval  Verdict',
        '  125 Hz        -   0.50 s       -  -              not measurable',
        '  500 Hz  0.620 s  0.484 s   -22 %  -28 to -15 %   reduced',
        '  1 kHz   0.600 s   0.59 s    -2 %  -8 to +5 %     no detectable change',
      ].join('\n'),
    );
    expect(Math.max(...text.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
  });

  test('says no more than the verdict where no change was found, with both ends of the interval signed', () => {
    const headline: Headline = {
      ...NO_HEADLINE,
      quantity: 'tfull_s',
      bands_hz: [500, 1000],
      percent: -1.2,
      percent_low: -4.1,
      percent_high: 1.8,
      verdict: 'no-detectable-change',
      reasons: [],
    };
    expect(changeTable(results({ headline }), PLAIN)).toBe(
      [
        'Bare room -> Felt tiles',
        '  Full-range decay time, 500 Hz and 1 kHz: no detectable change, -1.2 % (95 %',
        '  interval -4.1 to +1.8 %).',
      ].join('\n'),
    );
  });

  test('gives the reason where nothing could be measured', () => {
    expect(changeTable(results({}), PLAIN)).toBe(
      'Bare room -> Felt tiles\n  Not measurable: no response of stage felt is used.',
    );
  });

  test('is empty where nothing was compared', () => {
    expect(changeTable({ ...results({}), changes: [] }, PLAIN)).toBe('');
  });

  test('says what else differs between the stages, under the headline', () => {
    const warning = '"felt" rests on one response: how far repeats differ was not seen.';
    const text = changeTable(results({ warnings: [warning] })).replace(/\s+/g, ' ');
    expect(text).toContain(
      'beside the treatment: "Felt tiles" rests on one response: how far repeats differ was not seen.',
    );
    expect(changeTable(results({ warnings: [] }))).not.toContain('beside the treatment');
  });
});
