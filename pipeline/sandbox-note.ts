import type { Diagnostic } from '../src/project/diagnostic.ts';
import * as messages from '../src/project/messages.ts';

/**
 * What is said of a PDF that was printed without the browser's sandbox: that of the root user, whom Chromium gives none. Nothing for any other user.
 *
 * @param uid number of the user; undefined where a system has none
 */
export function sandboxNote(uid: number | undefined = process.getuid?.()): Diagnostic[] {
  if (uid !== 0) return [];
  const place = { file: 'report/report.pdf', line: null, column: null };
  return [{ ...place, severity: 'note', message: messages.printedAsRoot() }];
}
