import { defineConfig } from 'vitest/config';

const unitFolders = ['unit', 'property', 'reference', 'contract'];

export default defineConfig({
  cacheDir: 'dist/.vitest',
  test: {
    // Two cores: more workers only make the real brokers and browsers wait for each other.
    maxWorkers: 2,
    projects: [
      {
        extends: true,
        test: {
          name: 'quick',
          include: unitFolders.map((folder) => `tests/${folder}/**/*.test.ts`),
          testTimeout: 60_000,
        },
      },
      {
        extends: true,
        test: {
          name: 'whole',
          include: ['tests/{integration,faults,browser}/**/*.test.ts'],
          globalSetup: ['tests/tools/built.ts'],
          testTimeout: 120_000,
          hookTimeout: 120_000,
          // A page on a busy machine takes its time; what never comes true still fails within the test.
          expect: { poll: { timeout: 60_000 } },
        },
      },
    ],
  },
});
