import { type Passage, spectrumChange } from '../audio/passage.ts';
import type { PassageChange, TakeResult } from './results.ts';

/** The first used passage of each stage at every position that both have one at, in the order of the takes of the first. */
export function passagePairs(
  takes: readonly TakeResult[],
  { from, to }: { from: string; to: string },
): [before: TakeResult, after: TakeResult][] {
  const firstAt = (stage: string) => {
    const first = new Map<string, TakeResult>();
    for (const take of takes) {
      if (take.used && take.passage && take.stage === stage && !first.has(take.position))
        first.set(take.position, take);
    }
    return first;
  };
  const after = firstAt(to);
  return [...firstAt(from)].flatMap(([position, before]): [TakeResult, TakeResult][] => {
    const other = after.get(position);
    return other ? [[before, other]] : [];
  });
}

/** What changed from one stage to another in the speech or music recorded at the same positions. */
export function passageChanges(takes: readonly TakeResult[], stages: { from: string; to: string }): PassageChange[] {
  return passagePairs(takes, stages).map(([before, after]) => ({
    position: before.position,
    recordings: [before.file, after.file],
    spectrum: spectrumChange(before.passage!.spectrum, after.passage!.spectrum),
    ...pauseChange(before.passage!, after.passage!),
  }));
}

function pauseChange(before: Passage, after: Passage): Pick<PassageChange, 'pause_change_db' | 'pause_refusal'> {
  const [from, to] = [before.pause_level_db, after.pause_level_db];
  if (from !== null && to !== null) return { pause_change_db: to - from, pause_refusal: null };
  return { pause_change_db: null, pause_refusal: before.pause_refusal ?? after.pause_refusal };
}
