import { describe, expect, test } from 'vitest';
import { parseProject } from '../../src/project/parse-project.ts';
import { leastSourceDistance_m, recordingSheet } from '../../src/report/recording-sheet.ts';

function sheetOf(rest: string) {
  const { project } = parseProject(`decaybook: 1\ntitle: Room\ndate: 2026-05-12\n${rest}`, 'project.yaml');
  return recordingSheet(project!);
}

describe('leastSourceDistance_m', () => {
  // d_min = 2 sqrt(V / (c T)), ISO 3382-2:2008, 4.3 (from memory), worked out by hand with c = 343 m/s.
  test.each([
    [48.672, 0.5, 1.0655],
    [48.672, 0.3, 1.3755],
    [100, 0.4, 1.7075],
    [250, 0.8, 1.909],
  ])('of %f m3 that decay in %f s is %f m', (volume_m3, decay_s, expected_m) => {
    const distance_m = leastSourceDistance_m({ volume_m3, decay_s, sound_speed_m_s: 343 });
    expect(Math.abs(distance_m - expected_m)).toBeLessThan(1e-4);
  });
});

describe('recordingSheet', () => {
  const stages = 'stages: [{id: bare, title: Bare room}, {id: felt}]\n';

  test('works the distances out for the room and its temperature', () => {
    const sheet = sheetOf(`room: {length: 5.2, width: 3.6, height: 2.6, temperature: 20}\n${stages}`);
    expect(sheet.sound_speed_m_s).toBe(343);
    expect(sheet.source_to_microphone_m).toBeCloseTo(1.3755, 4);
    // c / f / 4 and c / f / 2 at 125 Hz with c = 343 m/s.
    expect(sheet.wavelengths[0]?.quarter_m).toBeCloseTo(0.686, 3);
    expect(sheet.wavelengths[0]?.half_m).toBeCloseTo(1.372, 3);
    expect(sheet.distances_fit).toBe(true);
  });

  test('says where a room is too small for the distances, and does not refuse', () => {
    const sheet = sheetOf(`room: {length: 2.4, width: 2, height: 2.3}\n${stages}`);
    expect(sheet.distances_fit).toBe(false);
    expect(sheet.longest_m).toBeCloseTo(0.4, 9);
    expect(sheet.rows).toHaveLength(4);
    expect(sheetOf(`room: {length: 8, width: 1.8, height: 2.3}\n${stages}`).longest_m).toBe(0);
  });

  test('leaves open what follows from a size that is not stated', () => {
    const sheet = sheetOf(stages);
    expect(sheet).toMatchObject({
      volume_m3: null,
      source_to_microphone_m: null,
      longest_m: null,
      distances_fit: null,
    });
  });

  test('has a row for each stage and position, the positions of the project or as many as are wanted', () => {
    const positions = 'positions: {desk: {microphone: [1, 2, 1]}}\n';
    expect(sheetOf(positions + stages).rows).toEqual([
      { stage: 'Bare room', position: 'desk' },
      { stage: 'felt', position: 'desk' },
    ]);
    expect(sheetOf(`purpose: meeting\n${stages}`).positions.map(({ name }) => name)).toEqual([...'ABCDEF']);
  });
});
