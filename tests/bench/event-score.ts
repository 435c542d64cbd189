import { findResponses } from '../../src/audio/find-responses.ts';
import { type EventScene, eventScene } from './event-scene.ts';
import { clapTruths } from './event-truth.ts';

export interface EventScore {
  files: number;
  /** Claps that deserve to be used, and how many of them were. */
  deserving: number;
  found: number;
  /** Claps that deserve to be set aside, and those that may go either way. */
  spoiled: number;
  doubtful: number;
  /** Responses used, and how many of them are no clap or a clap that deserves to be set aside. */
  used: number;
  wrong: number;
  /** Errors of time zero over the claps used, in milliseconds, sorted. */
  zeroErrors_ms: number[];
  /** One line for each miss and each wrong use. */
  remarks: string[];
}

/** A response within this time of a clap is that clap. */
const SAME_S = 0.005;

/** Plays the named scenes to the finder and counts. */
export function scoreEvents(names: readonly string[]): EventScore {
  const score: EventScore = {
    files: 0,
    deserving: 0,
    found: 0,
    spoiled: 0,
    doubtful: 0,
    used: 0,
    wrong: 0,
    zeroErrors_ms: [],
    remarks: [],
  };
  for (const name of names) scoreScene(score, name, eventScene(name));
  score.zeroErrors_ms.sort((a, b) => a - b);
  return score;
}

function scoreScene(score: EventScore, name: string, scene: EventScene): void {
  const { rate_hz } = scene;
  const truths = clapTruths(scene);
  const { responses } = findResponses(scene.samples, { rate_hz, kind: 'impulse' });
  const zeros = responses.map((response) => Math.round(response.onset_s * rate_hz));
  score.files++;
  const near = (a: number, b: number) => Math.abs(a - b) <= SAME_S * rate_hz;
  truths.forEach(({ zero, deserves }) => {
    if (deserves === 'set-aside') score.spoiled++;
    if (deserves === 'either') score.doubtful++;
    if (deserves !== 'use') return;
    score.deserving++;
    const match = responses.findIndex((_, i) => near(zeros[i]!, zero));
    if (responses[match]?.used) {
      score.found++;
      const error_ms = (1000 * Math.abs(zeros[match]! - zero)) / rate_hz;
      score.zeroErrors_ms.push(error_ms);
      if (error_ms > 0.1)
        score.remarks.push(`${name}: time zero of ${(zero / rate_hz).toFixed(3)} s off by ${error_ms.toFixed(3)} ms`);
    } else {
      const why = responses[match]?.faults[0]?.message ?? 'not found';
      score.remarks.push(`${name}: missed ${(zero / rate_hz).toFixed(3)} s, ${why}`);
    }
  });
  responses.forEach(({ used, onset_s }, i) => {
    if (!used) return;
    score.used++;
    const truth = truths.find(({ zero }) => near(zeros[i]!, zero));
    if (truth !== undefined && truth.deserves !== 'set-aside') return;
    score.wrong++;
    score.remarks.push(`${name}: used ${onset_s.toFixed(3)} s, ${truth ? 'a spoiled clap' : 'no clap'}`);
  });
}
