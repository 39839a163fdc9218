import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

// The built page is committed and embedded by internal/webui, so its file
// names are fixed (a rebuild changes contents, not names) and it has no source
// maps.
export default defineConfig({
  base: './',
  plugins: [svelte()],
  build: {
    outDir: '../internal/webui/dist',
    emptyOutDir: true,
    sourcemap: false,
    modulePreload: false,
    assetsInlineLimit: 0,
    chunkSizeWarningLimit: 1200,
    rolldownOptions: {
      output: {
        entryFileNames: 'assets/bench.js',
        chunkFileNames: 'assets/[name].js',
        assetFileNames: 'assets/[name][extname]',
      },
    },
  },
  // `npm run dev` with a bench running beside it on port 7300.
  server: { proxy: { '/api': 'http://127.0.0.1:7300' } },
  test: { include: ['src/**/*.test.ts'] },
});
