import { defineConfig } from 'vitest/config';

// How fast the bench answers a hand, in a real browser: figures to read, not
// tests to pass.
export default defineConfig({
  test: {
    include: ['e2e/**/*.speed.ts'],
    testTimeout: 600_000,
    hookTimeout: 300_000,
    fileParallelism: false,
    disableConsoleIntercept: true,
  },
});
