import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vite';

// The server's content policy allows no script or style in the page itself,
// so nothing is inlined.
export default defineConfig({
  plugins: [svelte()],
  base: './',
  worker: { format: 'es' },
  build: { target: 'es2022', assetsInlineLimit: 0, modulePreload: { polyfill: false }, emptyOutDir: true, reportCompressedSize: false },
  server: { proxy: { '/api': { target: 'http://127.0.0.1:8080', changeOrigin: true } } },
});
