import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { cp, mkdir, readFile, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import { earlierReport } from '../../pipeline/earlier-report.ts';
import { loadWords } from '../../pipeline/load-words.ts';
import { reportFolder } from '../../pipeline/report.ts';
import { readSweep } from '../../pipeline/sweep-file.ts';
import { whatMoved } from '../../pipeline/what-moved.ts';
import { formatDiagnostic } from '../../src/project/diagnostic.ts';
import { parseProject } from '../../src/project/parse-project.ts';
import { buildDocument } from '../../src/report/build-document.ts';
import { nextIssue } from '../../src/report/issues.ts';
import { readResults } from '../../src/report/read-results.ts';
import { resultsCsv } from '../../src/report/results-csv.ts';
import { projectTarget } from '../../src/room/targets.ts';
import { writeSmallProject } from '../pipeline/small-project.ts';

/**
 * Written by the first version that wrote a report (0.1.0, its first whole flow), on the project of two takes that stands beside it; cut to
 * the first response of each take and to the octave of 1 kHz.
 */
const FIRST = fileURLToPath(new URL('../reference/first-format/', import.meta.url));
const first = (name: string) => readFileSync(join(FIRST, name), 'utf8');
const scratch = mkdtempSync(join(tmpdir(), 'decaybook-format-'));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));
const quiet = { pdf: false, progress: { step: () => undefined, part: () => undefined, end: () => undefined } };

/** A small project whose report folder holds some files. */
async function project(name: string, files: Record<string, string>): Promise<string> {
  const folder = join(scratch, name);
  writeSmallProject(folder);
  await mkdir(join(folder, 'report'), { recursive: true });
  for (const [file, text] of Object.entries(files)) await writeFile(join(folder, 'report', file), text);
  return folder;
}

describe('what the first version wrote', () => {
  it('is read: the project file without a word', () => {
    const { project: read, diagnostics } = parseProject(first('project.yaml'), 'project.yaml');
    expect(diagnostics).toEqual([]);
    expect(read?.stages.map(({ id }) => id)).toEqual(['bare', 'treated']);
  });

  it('is read: results, from which issue, table, comparison and report are made as from those of today', async () => {
    const found = readResults(first('results.json'));
    if (found.is !== 'read') throw new Error(found.is);
    const results = found.value;
    expect(results.takes.map(({ file }) => file)).toEqual(['recordings/bare/A/01.wav', 'recordings/treated/A/01.wav']);
    const { issues } = nextIssue(null, results);
    expect(issues[0]).toMatchObject({ issue: 1, verdicts: [{ from: 'bare', to: 'treated' }] });
    expect(issues[0]!.values.every(({ value }) => Math.abs(value / 0.3 - 1) < 0.05)).toBe(true);
    expect(resultsCsv(results).split('\n').length).toBeGreaterThan(10);
    expect(whatMoved(results, results)).toEqual([]);
    const words = await loadWords('en');
    const log = nextIssue(null, results);
    const document = buildDocument({
      results,
      figures: [],
      target: projectTarget(results.project),
      words,
      issues: log,
    });
    expect(JSON.stringify(document)).not.toMatch(/undefined|NaN|\[object/);
  });

  it('makes room for a report of today', async () => {
    const folder = await project('earlier', { 'results.json': first('results.json') });
    expect(await reportFolder(folder, quiet)).toMatchObject({ status: 0 });
    const now = await readFile(join(folder, 'report', 'results.json'), 'utf8');
    expect(readResults(now).is).toBe('read');
  });
});

describe('what a later version wrote', () => {
  const later = { format: 'decaybook-results/2', tool: { name: 'decaybook', version: '2.4.0' }, rooms: [] };
  const needs = (version: string) => `update decaybook to version ${version} or later, or move the report folder away`;

  it('is refused with the version that reads it, and stands', async () => {
    const files = {
      'results.json': JSON.stringify(later),
      'issues.json': JSON.stringify({ format: 'decaybook-issues/3', issues: {} }),
    };
    const folder = await project('later', files);
    const { status, messages } = await reportFolder(folder, quiet);
    expect(status).toBe(1);
    expect(messages.map(formatDiagnostic)).toEqual([
      `report/results.json: error: this report was written by a later version of decaybook, in format 2, and would be lost: ${needs('2.4.0')}`,
      `report/issues.json: error: this report was written by a later version of decaybook, in format 3, and would be lost: ${needs('3.0.0')}`,
    ]);
    for (const [name, text] of Object.entries(files)) {
      expect(await readFile(join(folder, 'report', name), 'utf8')).toBe(text);
    }
  });

  it('is refused where it is the project file or the sweep', async () => {
    const { diagnostics } = parseProject(first('project.yaml').replace('decaybook: 1', 'decaybook: 2'), 'project.yaml');
    expect(diagnostics.map(formatDiagnostic)).toContain(
      'project.yaml:1:12: error: this file has format 2, and this version of decaybook reads format 1: update decaybook to version 2.0.0 or later',
    );
    await writeFile(join(scratch, 'sweep.json'), JSON.stringify({ format: 'decaybook-sweep/2', kind: 'log' }));
    expect(await readSweep(scratch)).toMatchObject({
      fault: {
        message:
          'has format 2, and this version of decaybook reads format 1: update decaybook to version 2.0.0 or later',
      },
    });
  });
});

describe('what is damaged', () => {
  it('costs no issue of the report: a damaged list of them is told and stands', async () => {
    const folder = await project('damaged', { 'issues.json': '{"format": "decaybook-issues/1", "iss' });
    const { status, messages } = await reportFolder(folder, quiet);
    expect([status, messages.map(formatDiagnostic)]).toEqual([
      1,
      [
        'report/issues.json: error: the list of issues of this report is damaged, and would be lost: put the file back as it was, or remove it to count from issue 1 again',
      ],
    ]);
  });

  it('is replaced where it can be made anew', async () => {
    const folder = await project('torn', { 'results.json': '{"format": "decaybook-res' });
    expect(await earlierReport(folder)).toEqual({ issues: null, diagnostics: [] });
    await cp(FIRST, join(folder, 'report'), { recursive: true });
    expect(await earlierReport(folder)).toEqual({ issues: null, diagnostics: [] });
  });

  it.each(['', 'null', '[]', '{}', '{"format": "other/1"}', '{"format": "decaybook-results/0"}', '{"format": 1}'])(
    'is told from what is newer: %j',
    (text) => {
      expect(readResults(text)).toEqual({ is: 'damaged' });
    },
  );
});
