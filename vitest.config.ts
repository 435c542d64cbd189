import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    setupFiles: ['tests/drawn-inputs.ts'],
    testTimeout: 30_000,
    maxWorkers: '100%',
    reporters: ['default'],
  },
});
