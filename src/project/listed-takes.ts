import { audioFiles, isAudioFile, RECORDINGS } from './audio-files.ts';
import type { Diagnostic, ValuePath } from './diagnostic.ts';
import { didYouMean } from './did-you-mean.ts';
import type { TakeSearch } from './find-takes.ts';
import { isPattern, matchPattern } from './match-pattern.ts';
import * as messages from './messages.ts';
import type { TakeFile } from './project.ts';

/**
 * Returns the recordings that a stage lists by name or pattern, and what is wrong with the list: a name that is not there,
 * a pattern that finds nothing, a recording listed twice. A name is tried as it stands before it is read as a pattern, so
 * that `take[1].wav` is found. Composed and decomposed accents count as the same (some systems store the one, some the other).
 */
export function listedTakes(
  index: number,
  { project, files, placeOf, file: projectFile }: TakeSearch,
): { takes: TakeFile[]; diagnostics: Diagnostic[] } {
  const stage = project.stages[index]!;
  const known = Object.keys(project.positions);
  const takes: TakeFile[] = [];
  const diagnostics: Diagnostic[] = [];
  const firstListed = new Map<string, ValuePath>();
  const fail = (path: ValuePath, message: string): void => {
    const place = placeOf(path);
    diagnostics.push({
      file: projectFile,
      line: place?.line ?? null,
      column: place?.column ?? null,
      severity: 'error',
      message,
    });
  };

  for (const [i, entry] of (stage.takes ?? []).entries()) {
    for (const { pattern, path } of patternsOf(entry.files, ['stages', index, 'takes', i, 'files'])) {
      const found = matching(pattern, files);
      if ('message' in found) fail(path, found.message);
      else {
        for (const file of found.files) {
          const first = firstListed.get(file);
          if (first !== undefined) {
            fail(path, messages.claimedTwice(file, placeOf(first)?.line ?? null));
            continue;
          }
          firstListed.set(file, path);
          const position = entry.position ?? positionOf(file, stage.id, known);
          if (position === null) {
            fail(path, messages.positionNotStated(file, known));
            continue;
          }
          const { kind = null, channel = null, level: level_db, average } = entry;
          takes.push({
            ...{ file, stage: stage.id, position, kind, channel },
            ...(level_db === undefined ? {} : { level_db }),
            ...(average === undefined ? {} : { average }),
          });
        }
      }
    }
  }
  return { takes, diagnostics };
}

function patternsOf(files: string | string[], path: ValuePath): { pattern: string; path: ValuePath }[] {
  if (typeof files === 'string') return [{ pattern: files, path }];
  return files.map((pattern, i) => ({ pattern, path: [...path, i] }));
}

/** The recordings a name or pattern stands for, or the sentence that says why there are none. */
function matching(pattern: string, files: readonly string[]): { files: string[] } | { message: string } {
  const wanted = pattern.normalize('NFC').replace(/^\.\//, '');
  const exact = files.find((file) => file.normalize('NFC') === wanted);
  if (exact !== undefined)
    return isAudioFile(exact) ? { files: [exact] } : { message: messages.notARecording(pattern) };
  const recordings = audioFiles(files);
  const outside = wanted.split('/').includes('..');
  if (outside && !isPattern(wanted)) return { message: messages.outsideFolder(pattern) };
  if (!isPattern(wanted)) return { message: messages.listedFileMissing(pattern, didYouMean(wanted, recordings)) };
  const matches = matchPattern(wanted);
  const found = recordings.filter((file) => matches(file.normalize('NFC')));
  if (found.length > 0) return { files: found };
  const matchesAnyCase = matchPattern(wanted, { anyCase: true });
  const sibling = recordings.find((file) => matchesAnyCase(file.normalize('NFC')));
  return { message: messages.patternFindsNothing(pattern, sibling ?? null) };
}

/** Where the list does not say: the folder under the stage's, the only position there is, or A; null where several are listed. */
function positionOf(file: string, stage: string, known: string[]): string | null {
  const [top, folder, position, name] = file.split('/');
  if (top === RECORDINGS && folder === stage && name !== undefined) return position!;
  return known.length > 1 ? null : (known[0] ?? 'A');
}
