import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../projects/synthesis/random.ts';
import { gainDrift } from '../../src/audio/gain-drift.ts';
import { levelTrace } from '../../src/audio/level-trace.ts';

const RATE_HZ = 8000;
const GAP_S = 1.8;
const EVENTS = 4;
/** The decays have come down by then. */
const REACHED_S = 0.4;

/** Noise after each of four events, its gain in dB given by the time since the event and the event. */
function drift(name: string, gain_db: (since_s: number, event: number) => number) {
  const random = seededRandom(name);
  const samples = Float64Array.from({ length: EVENTS * GAP_S * RATE_HZ }, (_, i) => {
    const event = Math.floor(i / (GAP_S * RATE_HZ));
    return 1e-3 * random.normal() * 10 ** (gain_db(i / RATE_HZ - event * GAP_S, event) / 20);
  });
  const frame = (time_s: number) => Math.round(time_s * 1000);
  const stretches = Array.from({ length: EVENTS }, (_, event) => {
    const start = frame(event * GAP_S);
    return { start, from: start + frame(REACHED_S), to: start + frame(GAP_S) };
  });
  return gainDrift(levelTrace(samples, RATE_HZ), stretches);
}

describe('gainDrift(trace, stretches)', () => {
  it.each([
    [6, 0.5],
    [10, 0.4],
    [6, 1],
    [18, 0.6],
  ])('finds a gain turned down by %d dB that recovers in %d s', (depth_db, recovery_s) => {
    for (let take = 0; take < 5; take++) {
      const found = drift(`gain ${take}`, (since_s) => -depth_db * Math.exp(-since_s / recovery_s));
      const left_db = depth_db * Math.exp(-REACHED_S / recovery_s);
      expect(found, `take ${take}`).not.toBeNull();
      expect(Math.abs(found!.rise_db / left_db - 1)).toBeLessThan(0.4);
    }
  });

  it('takes steady noise, and noise that wanders by 1 dB, for no gain', () => {
    for (let take = 0; take < 40; take++) {
      expect(drift(`steady ${take}`, () => 0)).toBeNull();
      const random = seededRandom(`wander ${take}`);
      const [phases, paces] = [0, 1].map(() => Array.from({ length: 12 }, () => random.uniform())) as [
        number[],
        number[],
      ];
      const wander = (t: number) =>
        phases.reduce((sum, phase, k) => sum + 0.41 * Math.sin(2 * Math.PI * (phase + t * 3 * paces[k]!)), 0);
      expect(
        drift(`wander ${take}`, (since_s, event) => wander(event * GAP_S + since_s)),
        `take ${take}`,
      ).toBeNull();
    }
  });

  it('takes somebody who stirs before each next clap for no gain', () => {
    for (let take = 0; take < 10; take++) {
      expect(drift(`stir ${take}`, (since_s) => 2.2 * Math.max(0, since_s - 0.9) ** 2)).toBeNull();
    }
  });

  it('takes a rise after one event of four for no gain', () => {
    expect(drift('one', (since_s, event) => (event === 1 ? -8 * Math.exp(-since_s / 0.6) : 0))).toBeNull();
  });
});
