import { expect, test } from 'vitest';
import { soundSpeed, soundSpeedIso9613 } from '../../src/room/sound-speed.ts';

// ISO 354:2003, 8.1.2.1: c = 331 + 0.6 t, 15 to 30 degrees Celsius.
test.each([
  [15, 340],
  [20, 343],
  [21, 343.6],
  [25, 346],
  [30, 349],
])('at %d C sound travels at %d m/s by ISO 354', (temperature_c, expected) => {
  expect(soundSpeed(temperature_c)).toBeCloseTo(expected, 9);
});

// ISO 9613-1:1993, A.4.
test.each([
  [15, 340.261],
  [20, 343.2],
  [25, 346.114],
  [30, 349.005],
])('at %d C sound travels at %d m/s by ISO 9613-1', (temperature_c, expected) => {
  expect(soundSpeedIso9613(temperature_c)).toBeCloseTo(expected, 3);
});

test('outside 15 to 30 C the line of ISO 354 is not stretched', () => {
  expect(soundSpeed(5)).toBe(soundSpeedIso9613(5));
  expect(soundSpeed(35)).toBe(soundSpeedIso9613(35));
});
