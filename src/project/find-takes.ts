import { audioFiles, RECORDINGS } from './audio-files.ts';
import type { Diagnostic, PlaceOf } from './diagnostic.ts';
import { didYouMean } from './did-you-mean.ts';
import { folderTakes } from './folder-takes.ts';
import { listedTakes } from './listed-takes.ts';
import * as messages from './messages.ts';
import { compareNatural } from './natural-order.ts';
import type { Project, TakeFile } from './project.ts';
import { setAsideTakes } from './set-aside-takes.ts';

/** Where the takes of a project come from: the project, and the files in its folder. */
export interface TakeSearch {
  project: Project;
  /** Every file in the folder, relative to it, with forward slashes. */
  files: readonly string[];
  /** Where values stand in the project file, so that diagnostics can say so. */
  placeOf: PlaceOf;
  /** Name of the project file in diagnostics. */
  file: string;
}

/**
 * Returns the recordings of every stage, in the order of the stages, then by position and name (numbers by value), and what
 * is doubtful about the folder.
 *
 * A stage that lists `takes` has those; any other has what lies in recordings/<stage>/<position>/. Recordings directly in
 * recordings/<stage>/ belong to the only position listed, or to position A where none is listed. Endings of audio decide
 * what is a recording; whether it can be read is found out later.
 */
export function assignTakes(
  project: Project,
  files: readonly string[],
  options: { placeOf?: PlaceOf; file?: string } = {},
): { takes: TakeFile[]; diagnostics: Diagnostic[] } {
  const search: TakeSearch = {
    project,
    files,
    placeOf: options.placeOf ?? (() => null),
    file: options.file ?? 'project.yaml',
  };
  const diagnostics: Diagnostic[] = [];
  const takes: TakeFile[] = [];
  for (const [index, stage] of project.stages.entries()) {
    const found = stage.takes === undefined ? folderTakes(stage, search) : listedTakes(index, search);
    takes.push(...found.takes.sort((a, b) => compareNatural(a.position, b.position) || compareNatural(a.file, b.file)));
    diagnostics.push(...found.diagnostics);
  }
  const once = withoutRepeats(takes, search);
  diagnostics.push(...once.diagnostics, ...strayFolders(once.takes, search));
  // Where recordings are misplaced, a line that they are missing would only confuse.
  const misplaced = diagnostics.some(({ severity }) => severity === 'error');
  if (!misplaced) diagnostics.push(...emptyStages(once.takes, search));
  const marked = setAsideTakes(once.takes, search);
  return { takes: marked.takes, diagnostics: [...diagnostics, ...marked.diagnostics] };
}

/** A recording claimed by two stages counts for the first and is an error at the second. */
function withoutRepeats(takes: TakeFile[], { project, placeOf, file }: TakeSearch) {
  const kept = new Map<string, TakeFile>();
  const diagnostics: Diagnostic[] = [];
  for (const take of takes) {
    const first = kept.get(take.file);
    if (first === undefined) {
      kept.set(take.file, take);
      continue;
    }
    const stage = project.stages.findIndex(({ id }) => id === take.stage);
    const place = placeOf(['stages', stage, 'takes'], { key: true });
    const firstStage = project.stages.findIndex(({ id }) => id === first.stage);
    const firstLine = placeOf(['stages', firstStage, 'takes'], { key: true })?.line ?? null;
    diagnostics.push({
      file,
      line: place?.line ?? null,
      column: place?.column ?? null,
      severity: 'error',
      message: messages.claimedTwice(take.file, firstLine),
    });
  }
  return { takes: [...kept.values()], diagnostics };
}

/** Names folders under recordings/ that no stage claims: most are stages misspelt. */
function strayFolders(takes: TakeFile[], { project, files }: TakeSearch): Diagnostic[] {
  const claimed = new Set(takes.map(({ file }) => file));
  const ids = project.stages.map(({ id }) => id);
  const stray = new Map<string, number>();
  for (const path of audioFiles(files)) {
    const [top, folder, ...rest] = path.split('/');
    if (top !== RECORDINGS || claimed.has(path) || folder === undefined) continue;
    if (rest.length === 0) stray.set('', (stray.get('') ?? 0) + 1);
    else if (!ids.includes(folder)) stray.set(folder, (stray.get(folder) ?? 0) + 1);
  }
  const empty = ids.filter((id) => !takes.some(({ stage }) => stage === id));
  return [...stray].map(([folder, count]): Diagnostic => {
    const at = { line: null, column: null };
    if (folder === '') {
      return { file: RECORDINGS, ...at, severity: 'warning', message: messages.noStageFolder(count) };
    }
    const guess = didYouMean(folder, empty);
    const severity = guess === null ? 'warning' : 'error';
    const name = `${RECORDINGS}/${folder}`;
    return { file: name, ...at, severity, message: messages.stageFolderUnknown(name, guess) };
  });
}

/** Names stages without recordings; where no stage has any, the project has just begun and one line says so. */
function emptyStages(takes: TakeFile[], { project, placeOf, file }: TakeSearch): Diagnostic[] {
  const position = Object.keys(project.positions)[0] ?? 'A';
  const folderOf = (id: string): string => `${RECORDINGS}/${id}/${position}/`;
  if (takes.length === 0) {
    const message = messages.noRecordingsYet(folderOf(project.stages[0]!.id));
    return [{ file: RECORDINGS, line: null, column: null, severity: 'note', message }];
  }
  return project.stages.flatMap(({ id }, i): Diagnostic[] => {
    if (takes.some(({ stage }) => stage === id)) return [];
    const place = placeOf(['stages', i, 'id']);
    const message = messages.stageWithoutRecordings(id, folderOf(id));
    return [{ file, line: place?.line ?? null, column: place?.column ?? null, severity: 'warning', message }];
  });
}
