import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** Test files that simulate for a second or more, the slowest last. They run after all others, when most mutants are already found. */
const SLOW = [
  'siblings',
  'comparison-warnings',
  'compare-stages',
  'plan',
  'read-intelligibility',
  'noise-off',
  'read-response',
];

class QuickFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification) => SLOW.findIndex((name) => moduleId.endsWith(`/${name}.test.ts`));
    return [...files].sort((a, b) => place(a) - place(b));
  }
}

/**
 * The tests that mutants are run against: those of the two mutated folders. The coverage simulation is left out, since each
 * mutant that lives would wait five seconds for it, so the score is what the others hold alone.
 */
export default defineConfig({
  test: {
    include: ['tests/room/**/*.test.ts', 'tests/statistics/**/*.test.ts'],
    exclude: ['tests/statistics/coverage.test.ts'],
    setupFiles: ['tests/drawn-inputs.ts'],
    testTimeout: 30_000,
    sequence: { sequencer: QuickFirst },
  },
});
