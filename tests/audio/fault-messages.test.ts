import { expect, it } from 'vitest';
import { faultMessage } from '../../src/audio/fault-messages.ts';
import { FAULT_SEVERITY } from '../../src/audio/faults.ts';

it('faultMessage says what was found with its figures, then the mend', () => {
  expect(faultMessage('clipped', { overshoot_db: 2.2, below_full_scale_db: 0 })).toEqual({
    code: 'clipped',
    severity: 'reject',
    message: 'clipped: lower the gain by about 8 dB and record again',
  });
  expect(faultMessage('automatic-gain', { rise_db: 5.1, from_s: 0.2, to_s: 0.6 }).message).toContain(
    'the tail rises 5 dB between 0.20 s and 0.60 s',
  );
  expect(faultMessage('noise-gate', { level_db: -52.3, to_silence: false }).message).toContain('52 dB under its peak');
  expect(faultMessage('duplicate', { other: '02.wav' }).message).toContain('the same recording as 02.wav');
  expect(faultMessage('no-bass', { source: 'clap', below_hz: 180 }).message).toBe(
    'a hand clap has too little below 180 Hz here: use a balloon or the sweep for the bass',
  );
});

it('faultMessage gives each fault the severity of the closed list', () => {
  expect(faultMessage('mains-hum', { mains_hz: 50, lift_db: 8 }).severity).toBe(FAULT_SEVERITY['mains-hum']);
  expect(faultMessage('dc-offset', { share: 0.02 }).severity).toBe('note');
});
