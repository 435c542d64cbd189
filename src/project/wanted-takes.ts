import type { Purpose } from './project.ts';

/** How much to record in each stage, and on whose word. */
export interface WantedTakes {
  positions: number;
  /** Good responses at each position: claps, pops or sweeps. */
  responses: number;
  effort: 'survey' | 'engineering';
}

/**
 * Returns how many positions, and good responses at each, a stage should have for the purpose of its room.
 *
 * Positions are the source-microphone pairs of ISO 3382-2:2008, Table 1 (from memory): 2 for a survey, 6 for the
 * engineering method. A room that is used all over, for meetings or lessons, deserves the second; a room with one desk, one
 * pair of ears or one player is described by the first. Responses at a position: the standard asks for one or two; four
 * are asked here in the small rooms (common practice, no source), so that one can be lost and the spread between claps is seen.
 */
export function wantedTakes(purpose: Purpose): WantedTakes {
  switch (purpose) {
    case 'meeting':
    case 'classroom':
      return { positions: 6, responses: 2, effort: 'engineering' };
    case 'speech-recording':
    case 'music-practice':
    case 'mixing':
    case 'other':
      return { positions: 2, responses: 4, effort: 'survey' };
    default:
      return purpose satisfies never;
  }
}
