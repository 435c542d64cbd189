import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { planningOf, planningText } from '../../pipeline/check-planning.ts';
import { PLAIN } from '../../pipeline/terminal.ts';
import { parseProject } from '../../src/project/parse-project.ts';
import type { Settling } from '../../src/statistics/finding.ts';

const project = parseProject(
  'decaybook: 1\ntitle: Room\ndate: 2026-05-12\nstages: [{id: bare, title: Bare room}, {id: felt, title: Felt tiles}]\n',
  'project.yaml',
).project!;

const more = fc.option(fc.integer({ min: 1, max: 12 }));
const settling = fc.record<Settling>({
  question: fc.constantFrom('detectable', 'noticeable'),
  more_responses_per_position: more,
  more_positions: more,
});

describe('planningOf and planningText', () => {
  test('before any take, say what change each plan finds, the wanted one marked, within 80 columns', () => {
    const text = planningText(planningOf(project, []), PLAIN);
    expect(text.split('\n').filter((line) => line.includes('(wanted)'))).toHaveLength(1);
    expect(text).toMatch(/A forecast from\s+theory/);
    expect(Math.max(...text.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
  });

  test('say nothing where nothing is open', () => {
    expect(planningText({ plans: [], open: [] }, PLAIN)).toBe('');
  });

  test('say of an open band no more than that: no change shown, or open whether one would hear it, and what should settle it', () => {
    fc.assert(
      fc.property(settling, (settle) => {
        const open = [{ from: 'bare', to: 'felt', bands: [{ centre_hz: 250, settle }] }];
        const text = planningText({ plans: [], open }, PLAIN).replace(/\s+/g, ' ');
        expect(text).toContain('Still open, bare -> felt 250 Hz:');
        expect(text.includes('no change shown')).toBe(settle.question === 'detectable');
        expect(text.includes('open whether one would hear it')).toBe(settle.question === 'noticeable');
        const { more_positions: positions, more_responses_per_position: responses } = settle;
        expect(text.includes('should settle it')).toBe(positions !== null || responses !== null);
        expect(text.includes('more position')).toBe(positions !== null || responses === null);
        if (positions !== null) expect(text).toContain(`${positions} more position`);
        if (responses !== null) expect(text).toContain(`${responses} more response`);
        expect(text).not.toMatch(/reduced|increased|shorter|longer|null/);
      }),
    );
  });
});
