import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { loadWords } from '../../pipeline/load-words.ts';
import { buildDocument } from '../../src/report/build-document.ts';
import { nextIssue } from '../../src/report/issues.ts';
import { readResults } from '../../src/report/read-results.ts';
import { projectTarget } from '../../src/room/targets.ts';
import { writeSmallTake } from '../pipeline/small-project.ts';

const scratch = mkdtempSync(join(tmpdir(), 'decaybook-fingerprints-'));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

const FIXTURE = new URL('../reference/first-format/results.json', import.meta.url);

/** As sha256sum (GNU coreutils) says it; null where that is not installed. */
function sha256sum(path: string): string | null {
  const { status, stdout } = spawnSync('sha256sum', [path], { encoding: 'utf8' });
  return status === 0 ? stdout.slice(0, 64) : null;
}

it('the report holds the fingerprint of every recording as sha256sum gives it, whole', async () => {
  const found = readResults(readFileSync(FIXTURE, 'utf8'));
  if (found.is !== 'read') throw new Error(found.is);
  const results = found.value;
  const words = await loadWords('en');
  const issues = nextIssue(null, results);
  const document = buildDocument({ results, figures: [], target: projectTarget(results.project), words, issues });
  const tables = document.sections.flatMap(({ blocks }) => blocks).filter((block) => block.kind === 'table');
  const rows = tables.find(({ id }) => id === 'takes-fingerprints')!.rows;
  expect(rows.map(({ head, cells }) => [head[0], cells[0]!.text[0]])).toEqual(
    results.takes.map(({ file, sha256 }) => [file, sha256]),
  );
  // The recordings of the fixture are made from the same seeds to this day.
  for (const [i, { file, sha256 }] of results.takes.entries()) {
    writeSmallTake(scratch, file, i + 1);
    const outside = sha256sum(join(scratch, file));
    expect(outside ?? sha256).toBe(sha256);
  }
});
