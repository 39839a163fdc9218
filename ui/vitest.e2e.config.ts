import { defineConfig } from 'vitest/config';

// The whole program in a real browser, one story after the other: both work on
// one machine's two processors.
export default defineConfig({
  test: {
    include: ['e2e/**/*.e2e.ts'],
    testTimeout: 300_000,
    hookTimeout: 120_000,
    fileParallelism: false,
    maxConcurrency: 1,
  },
});
