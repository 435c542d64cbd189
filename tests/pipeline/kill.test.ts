import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { SeededRandom } from '../bench/coverage-random.ts';
import {
  endedRun,
  type KillMoment,
  leftovers,
  makeKillProject,
  recordingsState,
  setVariant,
  standing,
  type Variant,
  wholeReports,
} from '../bench/killed-runs.ts';

const MAIN = fileURLToPath(new URL('../../dist/pipeline/main.js', import.meta.url));
const ARGS = ['report', '--no-pdf', '--jobs', '1'];
const folder = mkdtempSync(join(tmpdir(), 'decaybook-kill-'));
let timed: Awaited<ReturnType<typeof wholeReports>>;

beforeAll(async () => {
  if (!existsSync(MAIN)) throw new Error('the command line is tested as built: run "npm run build" first');
  makeKillProject(folder);
  timed = await wholeReports(MAIN, { folder, args: ARGS, again: false });
}, 60_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Changes what matters, runs `report` and ends it; returns what stood before, what stands now, and how the run ended. */
async function interrupted(moment: KillMoment, signal: NodeJS.Signals = 'SIGKILL') {
  const before = standing(folder, timed.whole) as Variant;
  const wanted: Variant = before === 'one' ? 'two' : 'one';
  setVariant(folder, wanted);
  const run = await endedRun(MAIN, [...ARGS, folder], { folder, moment, signal });
  return { before, wanted, after: standing(folder, timed.whole), run };
}

describe('report, ended by force', () => {
  it.each([
    ['after', 'report-gone-', 'new'],
    ['after', 'report-new-', 'new'],
  ] as const)('%s the rename that names %s leaves the %s report whole', async (side, name, expected) => {
    const recordings = recordingsState(folder);
    const { before, wanted, after, run } = await interrupted({ at: 'rename', side, name });
    expect(run.signal).toBe('SIGKILL');
    expect(recordingsState(folder)).toBe(recordings);
    expect(after).toBe(expected === 'new' ? wanted : before);
  });

  it('between its two renames, has the very next command put the earlier report back and say so', async () => {
    const { before, after } = await interrupted({ at: 'rename', side: 'after', name: 'report-old-' });
    expect(after).toBe('none');
    const check = await endedRun(MAIN, ['check', folder], { folder, moment: null });
    expect(check.out).toContain('report: note: a run was ended by force while it replaced the report, and the earlier');
    expect(standing(folder, timed.whole)).toBe(before);
  });

  it('in its midst, leaves one report or the other whole, and nothing that piles up', async () => {
    const moment: KillMoment = { at: 'time', ms: new SeededRandom(31).between(0.3, 1) * timed.run_ms };
    const { after } = await interrupted(moment);
    expect(['one', 'two']).toContain(after);
    const next = await endedRun(MAIN, [...ARGS, folder], { folder, moment: null });
    expect(next.status).toBe(0);
    expect(leftovers(folder)).toEqual([]);
  }, 60_000);
});

describe('report, asked to end', () => {
  it('while it writes, removes what it had begun, says so and ends by the signal', async () => {
    const { after, run } = await interrupted({ at: 'writing', ms: 0 }, 'SIGTERM');
    expect(['one', 'two']).toContain(after);
    if (run.status !== 0) {
      expect(run).toMatchObject({ status: null, signal: 'SIGTERM' });
      expect(run.err).toContain('decaybook: stopped; what was there before stands');
    }
    expect(leftovers(folder)).toEqual([]);
    expect(readdirSync(join(folder, '.decaybook')).sort()).toEqual(['kept']);
  });
});
