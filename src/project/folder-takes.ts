import { audioFiles, RECORDINGS } from './audio-files.ts';
import type { Diagnostic, DiagnosticSeverity } from './diagnostic.ts';
import { didYouMean } from './did-you-mean.ts';
import type { TakeSearch } from './find-takes.ts';
import * as messages from './messages.ts';
import type { Stage, TakeFile } from './project.ts';

/**
 * Returns the recordings of a stage by the convention of folders, recordings/<stage>/<position>/, and what is doubtful
 * about them. Where positions are listed, a folder that is nearly one of them is an error: the recordings would pair with
 * nothing.
 */
export function folderTakes(
  stage: Stage,
  { project, files }: Pick<TakeSearch, 'project' | 'files'>,
): { takes: TakeFile[]; diagnostics: Diagnostic[] } {
  const root = `${RECORDINGS}/${stage.id}`;
  const inside = audioFiles(files).filter((file) => file.startsWith(`${root}/`));
  const depth = (file: string): number => file.slice(root.length + 1).split('/').length;
  const loose = inside.filter((file) => depth(file) === 1);
  const placed = inside.filter((file) => depth(file) === 2);
  const deep = inside.filter((file) => depth(file) > 2);
  const known = Object.keys(project.positions);
  const diagnostics: Diagnostic[] = [];
  const tell = (severity: DiagnosticSeverity, file: string, message: string): void => {
    diagnostics.push({ file, line: null, column: null, severity, message });
  };

  const takes = placed.map((file) => take(file, stage.id, file.split('/')[2]!));
  for (const position of new Set(takes.map((entry) => entry.position))) {
    if (known.length === 0 || known.includes(position)) continue;
    const guess = didYouMean(position, known);
    const severity = guess === null ? 'warning' : 'error';
    tell(severity, `${root}/${position}`, messages.positionFolderUnknown(position, guess));
  }
  if (loose.length > 0 && known.length > 1) {
    tell('error', root, messages.looseAmbiguous(loose.length, `${root}/`, known));
  } else if (loose.length > 0) {
    const position = known[0] ?? 'A';
    takes.push(...loose.map((file) => take(file, stage.id, position)));
    tell('note', root, messages.loosePosition(loose.length, position, `${root}/`));
  }
  if (deep.length > 0) tell('warning', root, messages.tooFarDown(deep.length, `${root}/`));
  return { takes, diagnostics };
}

function take(file: string, stage: string, position: string): TakeFile {
  return { file, stage, position, kind: null, channel: null };
}
