import { audioFiles } from './audio-files.ts';
import type { Diagnostic, ValuePath } from './diagnostic.ts';
import { didYouMean } from './did-you-mean.ts';
import type { TakeSearch } from './find-takes.ts';
import { isPattern, matchPattern } from './match-pattern.ts';
import * as messages from './messages.ts';
import type { TakeFile } from './project.ts';

/**
 * Returns the takes with the reason beside each that the project file sets aside, and what is wrong with that list: a name or pattern
 * that stands for no take of any stage.
 */
export function setAsideTakes(
  takes: readonly TakeFile[],
  { project, files, placeOf, file: projectFile }: TakeSearch,
): { takes: TakeFile[]; diagnostics: Diagnostic[] } {
  const reasons = new Map<string, string>();
  const diagnostics: Diagnostic[] = [];
  for (const [i, entry] of project.set_aside.entries()) {
    const single = typeof entry.files === 'string';
    const patterns = single ? [entry.files as string] : (entry.files as string[]);
    for (const [j, pattern] of patterns.entries()) {
      const found = matching(pattern, takes);
      for (const file of found) reasons.set(file, entry.reason);
      if (found.length > 0) continue;
      const path: ValuePath = ['set_aside', i, 'files', ...(single ? [] : [j])];
      const place = placeOf(path);
      const message = messages.setAsideMissing(pattern, didYouMean(pattern, audioFiles(files)));
      const at = { line: place?.line ?? null, column: place?.column ?? null };
      diagnostics.push({ file: projectFile, ...at, severity: 'error', message });
    }
  }
  const marked = takes.map((take) => {
    const set_aside = reasons.get(take.file);
    return set_aside === undefined ? take : { ...take, set_aside };
  });
  return { takes: marked, diagnostics };
}

function matching(pattern: string, takes: readonly TakeFile[]): string[] {
  const wanted = pattern.normalize('NFC').replace(/^\.\//, '');
  const names = takes.map(({ file }) => file);
  const exact = names.filter((file) => file.normalize('NFC') === wanted);
  if (exact.length > 0 || !isPattern(wanted)) return exact;
  const matches = matchPattern(wanted);
  return names.filter((file) => matches(file.normalize('NFC')));
}
