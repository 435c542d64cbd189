/** What is wrong with a project, as a value: a user's mistake is never thrown. */
export interface Diagnostic {
  /** Path as the user would type it, relative to the project folder. */
  file: string;
  /** Counted from 1; null where the fault has no place in a text file. */
  line: number | null;
  column: number | null;
  severity: 'error' | 'warning';
  /** One sentence that says what is wrong and how to mend it. */
  message: string;
}
