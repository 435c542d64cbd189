/** Mutation testing of the two folders that hold the numbers: `npm run mutate`, or a part of it with `-- --mutate 'src/room/air.ts'`. */
export default {
  mutate: ['src/room/**/*.ts', 'src/statistics/**/*.ts'],
  testRunner: 'vitest',
  vitest: { configFile: 'vitest.mutation.config.ts' },
  coverageAnalysis: 'perTest',
  // Mutants that run as a module loads need every test for each of them; tables of figures are most of it.
  ignoreStatic: true,
  concurrency: 2,
  incremental: true,
  incrementalFile: 'mutation/incremental.json',
  tempDirName: 'mutation/sandbox',
  ignorePatterns: ['/build', '/dist', '/mutation', '/projects/*/recordings', '/projects/*/report', '.decaybook'],
  reporters: ['clear-text', 'json', 'progress-append-only'],
  clearTextReporter: { allowColor: false, allowEmojis: false, reportTests: false, reportMutants: true },
  jsonReporter: { fileName: 'mutation/report.json' },
  // No types are checked, so no tsconfig is written anew; asking for the usual one would call an interface TypeScript 7 no longer has.
  disableTypeChecks: false,
  tsconfigFile: 'no-tsconfig.json',
  // A busy machine must not pass for a mutant caught: endless loops are told by the count of their rounds, long before this.
  timeoutMS: 60_000,
};
