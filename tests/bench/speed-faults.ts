import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { chooseChannel } from '../../src/audio/choose-channel.ts';
import { encodeWav } from '../../src/audio/encode-wav.ts';
import { examineTake } from '../../src/audio/examine-take.ts';
import type { FaultCode } from '../../src/audio/faults.ts';
import { eventScene } from './event-scene.ts';
import { INJECTIONS, type Injection, recorded } from './fault-injection.ts';

const BITS = 24;
/** True of a take, and no fault of the recorder: what the source and the noise leave. */
const FINDINGS: readonly FaultCode[] = ['no-bass', 'low-range', 'channel-chosen', 'kind-guessed'];

/** A take made faulty, what was done to it, and what our search says of it. */
export interface SpoiledTake {
  file: string;
  /** null: nothing was done to it. */
  injected: FaultCode | null;
  ours: FaultCode[];
}

/** Writes every fault that must be found, each in a take of its own, and as many clean takes. */
export function makeSpoiledTakes(folder: string): SpoiledTake[] {
  mkdirSync(folder, { recursive: true });
  const sure = INJECTIONS.filter(({ least }) => least >= 0.8);
  return sure.flatMap((injection, i) => [
    spoiled(folder, `${String(i).padStart(2, '0')}.wav`, injection),
    spoiled(folder, `clean-${String(i).padStart(2, '0')}.wav`, null),
  ]);
}

function spoiled(folder: string, file: string, injection: Injection | null): SpoiledTake {
  const scene = eventScene(`speed ${file}`, { clutter: false, source: 'balloon' });
  const { rate_hz } = scene;
  const samples = injection === null ? scene.samples : injection.inject(scene);
  writeFileSync(join(folder, file), encodeWav(samples, rate_hz, BITS));
  const sound = recorded(samples, { rate_hz, bits: BITS });
  const found = examineTake({ sound, ...chooseChannel(sound, 1)! }, { kind: 'impulse', source: 'balloon' });
  const codes = [...found.faults, ...found.responses.flatMap(({ faults }) => faults)].map(({ code }) => code);
  return {
    file,
    injected: injection?.code ?? null,
    ours: [...new Set(codes)].filter((code) => !FINDINGS.includes(code)),
  };
}
