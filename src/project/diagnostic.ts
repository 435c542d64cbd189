/** error: the project cannot be reported. warning: it can, with something missing or doubtful. note: said once, nothing lost. */
export type DiagnosticSeverity = 'error' | 'warning' | 'note';

/** Something the user should know about an input: where it is, what is wrong, and how to mend it, in one sentence. */
export interface Diagnostic {
  /** Relative to the project folder, with forward slashes. */
  file: string;
  /** Counted from 1; null where the fault is not in a text file. */
  line: number | null;
  column: number | null;
  severity: DiagnosticSeverity;
  message: string;
}

/** A place in the project file, both counted from 1. */
export interface Place {
  line: number;
  column: number;
}

/** A way to a value: keys of maps and indices of lists, from the top. */
export type ValuePath = readonly (string | number)[];

/** Returns where the value at a path stands in the project file; with `key`, where its key stands. */
export type PlaceOf = (path: ValuePath, options?: { key?: boolean }) => Place | null;

/**
 * Returns the line a terminal shows for a diagnostic: `project.yaml:12:5: error: what is wrong`.
 * The line and column are left out where there are none.
 */
export function formatDiagnostic(diagnostic: Diagnostic): string {
  const { file, line, column, severity, message } = diagnostic;
  const place = line === null ? file : `${file}:${line}:${column ?? 1}`;
  return printable(`${place}: ${severity}: ${message}`);
}

/**
 * Returns a text in which nothing can move the cursor, colour the screen or turn the reading direction: control
 * characters and marks of direction become question marks. File names and values come from strangers.
 */
export function printable(text: string): string {
  return text.replace(/[\p{Cc}\u2028-\u202e\u2066-\u2069]/gu, '?');
}
