import { describe, expect, it } from 'vitest';
import { chooseChannel } from '../../src/audio/choose-channel.ts';
import { examineTake } from '../../src/audio/examine-take.ts';
import { eventScene } from '../bench/event-scene.ts';
import { INJECTIONS, recorded } from '../bench/fault-injection.ts';
import { scoreClean, scoreInjections } from '../bench/fault-score.ts';

// The long form of these, over hundreds of takes, is the bench of events.

describe('examineTake(take)', () => {
  it('accuses no clean take of claps, balloons or boards', () => {
    expect(scoreClean(900, 909)).toMatchObject({ takes: 9, accused: 0, remarks: [] });
  });

  it.each(
    INJECTIONS.filter(({ least }) => least >= 0.95).map(
      (injection) => [injection.code, injection.strength, injection] as const,
    ),
  )('finds %s, %s', (_code, _strength, injection) => {
    expect(scoreInjections(910, 912, [injection])[0]).toMatchObject({ takes: 2, found: 2 });
  });

  it('finds an automatic gain that recovers slowly, and a gate that shuts fast', () => {
    const strong = INJECTIONS.filter(({ strength }) => /recovering in 1 s|by all/.test(strength));
    for (const { found, takes } of scoreInjections(910, 912, strong)) expect(found).toBe(takes);
  });

  it('sets aside the one clap that is clipped and keeps the others', () => {
    const { samples, rate_hz, claps } = eventScene('one clipped', { clutter: false, source: 'clap' });
    const second = claps[1]!.onset;
    const peak = samples.subarray(second, second + 480).reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    const louder = samples.map((value, i) => (i >= second && i < second + 480 ? (value * 2) / peak : value));
    const sound = recorded(louder, { rate_hz, bits: 16 });
    const { responses, faults } = examineTake(
      { sound, ...chooseChannel(sound, 1)! },
      { kind: 'impulse', source: 'clap' },
    );
    expect(responses.map(({ used }) => used)).toEqual([true, false, true, true]);
    expect(responses[1]!.faults[0]!.message).toMatch(/^clipped: lower the gain by about \d+ dB and record again$/);
    expect(faults.filter(({ severity }) => severity === 'reject')).toEqual([]);
  });

  it('gives the take the fault of its responses where none is left', () => {
    const { samples, rate_hz } = eventScene('all clipped', { clutter: false, source: 'clap' });
    const sound = recorded(
      samples.map((value) => value * 40),
      { rate_hz, bits: 16 },
    );
    const { responses, faults } = examineTake(
      { sound, ...chooseChannel(sound, 1)! },
      { kind: 'impulse', source: 'clap' },
    );
    expect(responses.some(({ used }) => used)).toBe(false);
    expect(faults[0]!.code).toBe('clipped');
  });
});
