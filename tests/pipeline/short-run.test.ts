import { execFileSync } from 'node:child_process';
import { expect, it } from 'vitest';
import { setForShortRun } from '../../pipeline/short-run.ts';

const NODE_20 = '11.3.244.8-node.38';

/** What is set however many processors there are. */
const ALWAYS = [/^--interrupt-budget=\d+$/, /^--min-semi-space-size=\d+$/].map((flag) => expect.stringMatching(flag));

/** What is set for an engine of some version on so many processors. */
function setFor(version: string, processors = 2): string[] {
  const set: string[] = [];
  setForShortRun({ version, processors }, (flag) => void set.push(flag));
  return set;
}

it('setForShortRun: sets the engine of Node 20, and no other', () => {
  expect(setFor(NODE_20)).toEqual([...ALWAYS, '--no-parallel-scavenge']);
  expect(['12.4.254.21-node.33', '13.6.233.10', '14.1.1', '110.0.0', ''].flatMap((one) => setFor(one))).toEqual([]);
});

it('setForShortRun: lets threads help to collect memory where there are processors for them', () => {
  expect(setFor(NODE_20, 3)).toEqual(ALWAYS);
});

it('setForShortRun: asks for nothing that the engine at hand does not know, and would complain of', () => {
  const known = execFileSync(process.execPath, ['--v8-options'], { encoding: 'utf8', maxBuffer: 1e8 });
  for (const flag of setFor(process.versions.v8)) {
    const code = `require('node:v8').setFlagsFromString(${JSON.stringify(flag)})`;
    expect(execFileSync(process.execPath, ['-e', `${code}; console.log('set')`], { encoding: 'utf8' })).toBe('set\n');
    expect(known).toContain(`${flag.split('=')[0]!.replace('--no-', '--')} (`);
  }
});
