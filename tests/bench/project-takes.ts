import type { TakeResult } from '../../src/report/results.ts';
import type { SceneReading } from './project-scene.ts';

/** The readings of a synthesised project as the takes they would come from. */
export function takesOf(readings: readonly SceneReading[]): TakeResult[] {
  const files = new Map<string, TakeResult>();
  for (const { stage, position, take, bands, direct_db } of readings) {
    const [file, onset] = take.split('@') as [string, string];
    const known = { kind: 'impulse', rate_hz: 24_000, seconds: 8, channel: 1, used: true } as const;
    const entry = files.get(file) ?? { file, sha256: file, stage, position, ...known, faults: [], responses: [] };
    entry.responses.push({ onset_s: Number(onset), used: true, faults: [], bands, reflections: [], direct_db });
    files.set(file, entry);
  }
  return [...files.values()];
}
