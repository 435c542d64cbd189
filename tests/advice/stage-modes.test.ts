import { expect, test } from 'vitest';
import { stageModes } from '../../src/advice/stage-modes.ts';

const BOX = { length_m: 5.2, width_m: 3.6, height_m: 2.6 };
const mode = (frequency_hz: number, time_s: number) => ({ frequency_hz, time_s, level_db: 0, read_db: 30 });

test('resonances that responses agree on are one, named by the nearest mode of the box', () => {
  const found = stageModes([[mode(33, 0.9), mode(47.7, 0.7)], [mode(33.2, 1.1)], [mode(80, 0.6)]], {
    box: BOX,
    speed_m_s: 343,
  });
  // 343 / (2 x 5.2) = 32.98 Hz (Rayleigh); what only one response shows is left out.
  expect(found).toEqual([
    { frequency_hz: 33.1, time_s: 1, shortest_s: 0.9, longest_s: 1.1, responses: 2, order: [1, 0, 0] },
  ]);
});

test('a single response speaks for itself; far from every mode, or without a box, none is named', () => {
  expect(stageModes([[mode(24, 2)]], { box: BOX, speed_m_s: 343 })[0]!.order).toBeNull();
  expect(stageModes([[mode(33, 2)]], { box: null, speed_m_s: 343 })[0]!.order).toBeNull();
  expect(stageModes([], { box: BOX, speed_m_s: 343 })).toEqual([]);
});
