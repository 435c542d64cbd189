import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { defineConfig } from 'vitest/config';

/** Folders of tests of what is pure: nothing in it remembers what was done before. */
const PURE = ['advice', 'audio', 'charts', 'project', 'report', 'room', 'signal', 'statistics'];

/** A test that puts something else in the place of a module needs modules of its own. */
const MOCKING = /\bvi\./;

const pure = PURE.flatMap((folder) =>
  readdirSync(join('tests', folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.test.ts'))
    .map((name) => join('tests', folder, name).replaceAll('\\', '/')),
);
const together = pure.filter((file) => !MOCKING.test(readFileSync(file, 'utf8')));

export default defineConfig({
  test: {
    setupFiles: ['tests/drawn-inputs.ts'],
    testTimeout: 30_000,
    maxWorkers: '100%',
    reporters: ['default'],
    projects: [
      { extends: true, test: { name: 'apart', include: ['tests/**/*.test.ts'], exclude: together } },
      // Loading the same modules anew for each file took longer than the tests.
      { extends: true, test: { name: 'together', include: together, isolate: false } },
    ],
  },
});
