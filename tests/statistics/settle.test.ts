import { describe, expect, test } from 'vitest';
import type { ChangeValue, Contribution } from '../../src/statistics/finding.ts';
import { settling } from '../../src/statistics/settle.ts';
import { coverageFactor } from '../../src/statistics/student-t.ts';

/*
 * The half-width of an interval is Student's t times the standard uncertainty: 1.960 for infinitely many degrees of freedom, 2.571 for
 * 5, 2.228 for 10, 2.131 for 15, 2.086 for 20 (JCGM 100:2008, table G.2). A spread over n times as many falls by the root of n. The just
 * noticeable difference of C80 is 1 dB, that of a decay time 5 % (ISO 3382-1:2009, table A.1). The numbers of each test follow by hand.
 */
const line = (source: Contribution['source'], standard_uncertainty: number): Contribution => ({
  source,
  standard_uncertainty,
  dof: null,
});

function change(given: Partial<ChangeValue>): ChangeValue {
  return {
    quantity: 'c80_db',
    width: 'octave',
    centre_hz: 1000,
    difference: 0,
    ratio: null,
    percent: null,
    low: null,
    high: null,
    percent_low: null,
    percent_high: null,
    p_value: null,
    p_holm: null,
    standard_uncertainty: null,
    dof: null,
    coverage_factor: coverageFactor(given.dof ?? null),
    budget: [],
    correlation: 0,
    air_percent: null,
    to_settle: null,
    verdict: 'no-detectable-change',
    noticeable: 'unclear',
    scope: 'room',
    shared_positions: 2,
    reasons: [],
    ...given,
  };
}

describe('whether anything changed', () => {
  test.each([0.8, -0.8])(
    '%d dB known to 1.176: it stands out once that falls to 0.8, with 2.16 times the claps',
    (difference) => {
      // Two claps and two more are twice as many, and three more 2.5 times.
      const open = change({ difference, budget: [line('repeatability', 0.6)] });
      expect(settling(open, 2)).toMatchObject({ question: 'detectable', more_responses_per_position: 3 });
    },
  );

  test('a difference of 0.1 dB is told from a noticeable one sooner than from none: at 0.9, with 1.71 times the claps', () => {
    for (const difference of [0.1, -0.1]) {
      const open = change({ difference, budget: [line('range', 0.6)] });
      expect(settling(open, 2)!.more_responses_per_position).toBe(2);
    }
  });

  test('more positions bring degrees of freedom too, five each, and claps do nothing for the spread over the room', () => {
    // t = 2.228, 2.131, 2.086 at 10, 15, 20 over the roots of 1.5, 2, 2.5: 1.091, 0.904, 0.792.
    for (const source of ['positions', 'bound'] as const) {
      const open = change({ difference: 0.8, dof: 5, budget: [line(source, 0.6)] });
      expect(settling(open, 3)).toEqual({
        question: 'detectable',
        more_responses_per_position: null,
        more_positions: 3,
      });
    }
  });

  test('noise falls with positions as with claps, what is the same everywhere with neither', () => {
    // 1.96 x 0.6 over the root of (2 + m) / 2 first falls below 0.8 at m = 3.
    for (const source of ['range', 'repeatability'] as const) {
      const open = change({ difference: 0.8, budget: [line(source, 0.6)] });
      expect(settling(open, 4)).toMatchObject({ more_positions: 3, more_responses_per_position: 5 });
    }
    for (const source of ['fit', 'temperature'] as const) {
      const open = change({ difference: 0.8, budget: [line(source, 0.6)] });
      expect(settling(open, 2)).toMatchObject({ more_positions: null, more_responses_per_position: null });
    }
  });

  test('parts add as squares', () => {
    // Root of 0.36 / n + 0.09 times 1.96 under 0.8: n over 4.69, with one clap so far four more.
    const open = change({ difference: 0.8, budget: [line('range', 0.6), line('fit', 0.3)] });
    expect(settling(open, 1)!.more_responses_per_position).toBe(4);
  });

  test('a decay time is reckoned by its ratio: 4 % less, known to 5.9 %, with 2.08 times the claps', () => {
    // ln 0.96 = -0.0408; 1.96 x 0.03 = 0.0588; the interval ends below 0 before it ends within 5 % (0.0105).
    for (const ratio of [0.96, 1 / 0.96]) {
      const open = change({ quantity: 'tfull_s', ratio, difference: ratio * 0.3 - 0.3, budget: [line('range', 0.03)] });
      expect(settling(open, 1)!.more_responses_per_position).toBe(2);
    }
  });

  test('stages that share no position count as one', () => {
    const open = change({ difference: 0.8, shared_positions: 0, budget: [line('range', 0.6)] });
    expect(settling(open, 1)).toMatchObject({ more_positions: 2, more_responses_per_position: 2 });
  });
});

describe('whether a change would be noticed', () => {
  const open = (difference: number, verdict: ChangeValue['verdict'] = 'increased') =>
    change({ difference, verdict, budget: [line('range', 0.6)] });

  // 1.96 x 0.6 over the root of 1 + m: 0.339 at 11, 0.326 at 12, 0.314 at 13.
  test.each([
    ['beyond 1 dB', 1.33, 'increased'],
    ['beyond 1 dB, downwards', -1.33, 'reduced'],
    ['within 1 dB', 0.67, 'increased'],
    ['within 1 dB, downwards', -0.67, 'reduced'],
  ] as const)('%s: twelve more settle it', (_name, difference, verdict) => {
    expect(settling(open(difference, verdict), 1)).toMatchObject({
      question: 'noticeable',
      more_responses_per_position: 12,
    });
  });

  test('more than twelve is no advice', () => {
    expect(settling(open(1.32), 1)!.more_responses_per_position).toBeNull();
    expect(settling(open(0.68), 1)!.more_responses_per_position).toBeNull();
  });
});

test('where nothing is open, or nothing was measured, there is nothing to settle', () => {
  const budget = [line('range', 0.1)];
  expect(settling(change({ verdict: 'increased', noticeable: 'yes', difference: 2, budget }), 1)).toBeNull();
  expect(settling(change({ verdict: 'increased', noticeable: 'no', difference: 0.4, budget }), 1)).toBeNull();
  expect(settling(change({ noticeable: 'no', difference: 0.1, budget }), 1)).toBeNull();
  expect(settling(change({ difference: null, budget }), 1)).toBeNull();
  expect(settling(change({ noticeable: 'yes', difference: 0.1, budget }), 1)).not.toBeNull();
});
