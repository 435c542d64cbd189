import { chooseChannel } from '../../src/audio/choose-channel.ts';
import { type ExaminedTake, examineTake } from '../../src/audio/examine-take.ts';
import type { FaultCode } from '../../src/audio/faults.ts';
import { eventScene } from './event-scene.ts';
import { INJECTIONS, type Injection, recorded } from './fault-injection.ts';

const SOURCES = ['clap', 'balloon', 'board'] as const;
/** True of a take, not an accusation: what the source and the noise leave. */
const FINDINGS: readonly FaultCode[] = ['no-bass', 'low-range', 'channel-chosen', 'kind-guessed'];

/** A clean take of four sounds; the number settles source, depth and everything else. */
function cleanTake(number: number): CleanTake {
  const known = takes.get(number);
  if (known !== undefined) return known;
  const take = drawnTake(number);
  if (takes.size >= TAKES_KEPT) takes.delete(takes.keys().next().value!);
  takes.set(number, take);
  return take;
}

type CleanTake = ReturnType<typeof drawnTake>;
/** Takes are dear to draw and asked for again and again. */
const TAKES_KEPT = 8;
const takes = new Map<number, CleanTake>();

function drawnTake(number: number) {
  const source = SOURCES[number % SOURCES.length]!;
  return { source, scene: eventScene(`clean ${number}`, { clutter: false, source }), bits: number % 2 === 0 ? 16 : 24 };
}

function examined(samples: Float64Array, rate_hz: number, { bits, source }: CleanTake): ExaminedTake {
  const sound = recorded(samples, { rate_hz, bits });
  return examineTake({ sound, ...chooseChannel(sound, 1)! }, { kind: 'impulse', source });
}

function codesOf({ faults, responses }: ExaminedTake): Set<FaultCode> {
  return new Set([...faults, ...responses.flatMap((response) => response.faults)].map(({ code }) => code));
}

export interface Accusations {
  takes: number;
  /** Takes with a fault that they do not have. */
  accused: number;
  /** Which fault, and in which take. */
  remarks: string[];
}

/** Examines clean takes from every source and counts those accused of anything. */
export function scoreClean(from: number, to: number): Accusations {
  const score: Accusations = { takes: 0, accused: 0, remarks: [] };
  for (let number = from; number < to; number++) {
    const take = cleanTake(number);
    const codes = [...codesOf(examined(take.scene.samples, take.scene.rate_hz, take))];
    const wrong = codes.filter((code) => !FINDINGS.includes(code));
    score.takes++;
    if (wrong.length > 0) score.accused++;
    score.remarks.push(...wrong.map((code) => `clean ${number} (${take.source}): ${code}`));
  }
  return score;
}

export interface Detection {
  code: FaultCode;
  strength: string;
  least: number;
  takes: number;
  found: number;
  missed: number[];
}

/** Puts every fault at every strength into clean takes and counts where it is found. */
export function scoreInjections(from: number, to: number, injections: readonly Injection[] = INJECTIONS): Detection[] {
  const takes = Array.from({ length: to - from }, (_, i) => ({ number: from + i, take: cleanTake(from + i) }));
  return injections.map(({ code, strength, least, inject }) => {
    const missed = takes
      .filter(({ take }) => !codesOf(examined(inject(take.scene), take.scene.rate_hz, take)).has(code))
      .map(({ number }) => number);
    return { code, strength, least, takes: takes.length, found: takes.length - missed.length, missed };
  });
}
