import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { type IssueLog, issueLogSchema } from '../src/report/issues.ts';

/** Where a report folder keeps its issues. */
export const ISSUES_FILE = 'issues.json';

/** The issues that the report folder of a project has kept; null where there are none, or what is there is no such list. */
export async function readIssues(projectFolder: string): Promise<IssueLog | null> {
  try {
    const text = await readFile(join(projectFolder, 'report', ISSUES_FILE), 'utf8');
    return issueLogSchema.parse(JSON.parse(text));
  } catch {
    return null;
  }
}
