import { defineConfig } from 'vitest/config';

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
  },
});
