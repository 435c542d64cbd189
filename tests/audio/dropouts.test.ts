import { expect, it } from 'vitest';
import { seededRandom } from '../../projects/synthesis/random.ts';
import { dropouts } from '../../src/audio/dropouts.ts';

const rate_hz = 48000;
const resolution = 2 ** -15;
const stored = (level: number, change: (samples: Float64Array) => void = () => undefined) => {
  const random = seededRandom(`dropouts ${level}`);
  const samples = Float64Array.from({ length: 24000 }, () => level * random.normal());
  change(samples);
  return samples.map((value) => Math.round(value / resolution) * resolution);
};

it('dropouts are stretches that stand still amid lively samples, on zero or on any other value', () => {
  for (const value of [0, 0.03]) {
    const found = dropouts(
      stored(0.01, (samples) => samples.fill(value, 5000, 5100)),
      { rate_hz, resolution },
    );
    expect(found).toEqual([{ start: 5000, length: 100 }]);
  }
});

it('the shortest dropout is found wherever it lies, one sample less is none, and two near each other are two', () => {
  for (let start = 5000; start < 5040; start++) {
    const lost = (...lengths: number[]) =>
      dropouts(
        stored(0.01, (samples) => {
          lengths.forEach((length, i) => {
            samples.fill(0.02, start + 300 * i, start + 300 * i + length);
          });
        }),
        { rate_hz, resolution },
      );
    expect(lost(19)).toEqual([{ start, length: 19 }]);
    expect(lost(18)).toEqual([]);
    expect(lost(75, 40)).toEqual([
      { start, length: 75 },
      { start: start + 300, length: 40 },
    ]);
  }
});

it('a noise of less than one step is no dropout, nor is silence at the end or a gate that opens to another level', () => {
  expect(dropouts(stored(resolution / 4), { rate_hz, resolution })).toEqual([]);
  expect(
    dropouts(
      stored(0.01, (samples) => samples.fill(0, 23000)),
      { rate_hz, resolution },
    ),
  ).toEqual([]);
  const gated = stored(0.1, (samples) => {
    for (let i = 0; i < 5000; i++) samples[i]! *= 0.01;
    samples.fill(0, 5000, 5400);
  });
  expect(dropouts(gated, { rate_hz, resolution })).toEqual([]);
});
