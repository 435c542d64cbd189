import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { packageFolder } from '../pipeline/resources.ts';
import { FAULT_SEVERITY } from '../src/audio/faults.ts';

const readme = readFileSync(join(packageFolder(), 'README.md'), 'utf8');

describe('README', () => {
  it('lists every fault a take can have, with its severity', () => {
    const listed = [...readme.matchAll(/^\| `([a-z-]+)` \| (reject|warn|note) \|/gm)].map(([, code, severity]) => [
      code,
      severity,
    ]);
    expect(Object.fromEntries(listed)).toEqual(FAULT_SEVERITY);
  });

  it('shows a picture and links that are there', () => {
    const targets = [...readme.matchAll(/\]\(([^)#]+)\)/g)]
      .map(([, target]) => target!)
      .filter((target) => !target.startsWith('http'));
    expect(targets.length).toBeGreaterThan(1);
    expect(targets.filter((target) => !existsSync(join(packageFolder(), target)))).toEqual([]);
  });
});
