import { join } from 'node:path';
import type { Diagnostic } from '../src/project/diagnostic.ts';
import * as messages from '../src/project/messages.ts';
import { type IssueLog, readIssueLog } from '../src/report/issues.ts';
import { type FormatFound, RESULTS_FORMAT, readResults } from '../src/report/read-results.ts';
import { readRegular } from './read-regular.ts';

/** Ten times the results of six hundred takes. */
const LARGEST_BYTES = 200_000_000;

/** Where a report folder keeps its issues. */
export const ISSUES_FILE = 'issues.json';

/**
 * What a new report takes over from the one it replaces: its issues; null where there are none. Where that report was written by a later
 * version, or its issues are damaged, the errors say so: it would be lost.
 */
export async function earlierReport(
  projectFolder: string,
): Promise<{ issues: IssueLog | null; diagnostics: Diagnostic[] }> {
  const report = join(projectFolder, 'report');
  const [results, issues] = await Promise.all([
    beginsAsOurs(join(report, 'results.json')).then((ours) => (ours ? null : textOf(join(report, 'results.json')))),
    textOf(join(report, ISSUES_FILE)),
  ]);
  const log = issues === null ? null : readIssueLog(issues);
  const diagnostics = [
    ...(results === null ? [] : newerOf('results.json', readResults(results))),
    ...(log === null ? [] : newerOf(ISSUES_FILE, log)),
    ...(log?.is === 'damaged' ? [errorAt(ISSUES_FILE, messages.issuesDamaged())] : []),
  ];
  return { issues: log?.is === 'read' ? log.value : null, diagnostics };
}

/** Of results only the format matters, which this version writes first: some megabytes need not be read to know it. */
const OUR_BEGINNING = `{\n  "format": "${RESULTS_FORMAT}",\n`;

async function beginsAsOurs(path: string): Promise<boolean> {
  const first_bytes = Buffer.byteLength(OUR_BEGINNING);
  return readRegular(path, { most_bytes: LARGEST_BYTES, first_bytes }).then(
    (bytes) => bytes.toString('utf8') === OUR_BEGINNING,
    () => false,
  );
}

/** A file of the earlier report; null where there is none, nothing where it is no file that could be one of a report. */
async function textOf(path: string): Promise<string | null> {
  try {
    return (await readRegular(path, { most_bytes: LARGEST_BYTES })).toString('utf8');
  } catch (fault) {
    return ['ENOENT', 'ENOTDIR'].includes((fault as NodeJS.ErrnoException).code ?? '') ? null : '';
  }
}

function newerOf(name: string, found: FormatFound<unknown>): Diagnostic[] {
  return found.is === 'newer' ? [errorAt(name, messages.reportIsNewer(found.format, found.tool))] : [];
}

function errorAt(name: string, message: string): Diagnostic {
  return { file: `report/${name}`, line: null, column: null, severity: 'error', message };
}
