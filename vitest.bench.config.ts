import { defineConfig } from 'vitest/config';

/** Benches: long, run by hand, each by its name (npm run bench:accuracy). */
export default defineConfig({
  test: {
    include: ['tests/bench/**/*.bench-run.ts'],
    testTimeout: 0,
    reporters: ['default'],
    disableConsoleIntercept: true,
  },
});
