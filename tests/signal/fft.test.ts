import { expect, test } from 'vitest';
import { complexSamplesOf, convolve, powerOfTwoFrom, samplesOf, spectrumOf } from '../../src/signal/fft.ts';
import { gaussianStream } from '../room/simulated-response.ts';

const draw = gaussianStream(11);
const random = (length: number) => Float64Array.from({ length }, () => draw());

test('spectrumOf agrees with the sum that defines the transform', () => {
  const x = random(16);
  const spectrum = spectrumOf(x);
  for (let k = 0; k < 16; k++) {
    let [re, im] = [0, 0];
    x.forEach((value, n) => {
      re += value * Math.cos((2 * Math.PI * k * n) / 16);
      im -= value * Math.sin((2 * Math.PI * k * n) / 16);
    });
    expect(spectrum[2 * k]).toBeCloseTo(re, 10);
    expect(spectrum[2 * k + 1]).toBeCloseTo(im, 10);
  }
});

test('samplesOf and complexSamplesOf undo spectrumOf, zero padding included', () => {
  const x = random(300);
  const back = samplesOf(spectrumOf(x, 512));
  x.forEach((value, i) => {
    expect(back[i]).toBeCloseTo(value, 12);
  });
  expect(Math.max(...back.subarray(300).map(Math.abs))).toBeLessThan(1e-12);
  expect(complexSamplesOf(spectrumOf(x, 512))[1]).toBeCloseTo(0, 12);
});

test('convolve agrees with the direct sum', () => {
  const [a, b] = [random(37), random(11)];
  const found = convolve(a, b);
  expect(found).toHaveLength(47);
  for (let n = 0; n < 47; n++) {
    let sum = 0;
    for (let k = 0; k < 11; k++) sum += (a[n - k] ?? 0) * b[k]!;
    expect(found[n]).toBeCloseTo(sum, 10);
  }
  expect(convolve(a, new Float64Array(0))).toHaveLength(0);
});

test('powerOfTwoFrom is the next power of two, 2 at least', () => {
  expect([0, 1, 2, 3, 1024, 1025].map(powerOfTwoFrom)).toEqual([2, 2, 2, 4, 1024, 2048]);
});

test('a size that is no power of two, or too small, is refused', () => {
  expect(() => spectrumOf(random(3), 6)).toThrow('no power of two');
  expect(() => spectrumOf(random(5), 4)).toThrow('5 samples do not fit a transform of 4');
});

test('many sizes in turn give the same transform as before: the kept tables are bounded, not wrong', () => {
  const x = random(8);
  const first = [...spectrumOf(x, 8)];
  for (let power = 1; power < 14; power++) spectrumOf(x.subarray(0, 2), 2 ** power);
  expect([...spectrumOf(x, 8)]).toEqual(first);
});
