import { execFileSync } from 'node:child_process';
import { expect, it } from 'vitest';
import { compileLater } from '../../pipeline/compile-later.ts';

/** What is set for an engine of some version. */
function setFor(version: string): string[] {
  const set: string[] = [];
  compileLater(version, (flag) => void set.push(flag));
  return set;
}

it('compileLater: asks the engine of Node 20, and no other, to compile later', () => {
  expect(setFor('11.3.244.8-node.38')).toEqual([expect.stringMatching(/^--interrupt-budget=\d+$/)]);
  expect(['12.4.254.21-node.33', '13.6.233.10', '14.1.1', '110.0.0', ''].flatMap(setFor)).toEqual([]);
});

it('compileLater: asks for nothing that the engine at hand does not know, and would complain of', () => {
  for (const flag of setFor(process.versions.v8)) {
    const code = `require('node:v8').setFlagsFromString(${JSON.stringify(flag)})`;
    expect(execFileSync(process.execPath, ['-e', `${code}; console.log('set')`], { encoding: 'utf8' })).toBe('set\n');
    const known = execFileSync(process.execPath, ['--v8-options'], { encoding: 'utf8', maxBuffer: 1e8 });
    expect(known).toContain(`${flag.split('=')[0]} (`);
  }
});
