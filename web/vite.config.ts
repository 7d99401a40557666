import { svelte } from '@sveltejs/vite-plugin-svelte';
import { existsSync, statSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vite';
import { dist } from './scripts/dist.mjs';

const bytes = (file: string) => (existsSync(file) ? statSync(file).size : 0);
const here = (name: string) => fileURLToPath(new URL(name, import.meta.url));

// The server's content policy allows no script or style in the page itself,
// so nothing is inlined.
export default defineConfig({
  plugins: [svelte(), dist({ out: here('dist'), engines: { 'engine.wasm': here('build/engine.wasm'), 'paper.wasm': here('build/paper.wasm') }, later: ['paper.wasm'], beside: { 'example.json': here('build/example.json') } })],
  define: { __ENGINE_BYTES__: bytes(here('build/engine.wasm')) },
  base: './',
  worker: { format: 'es' },
  build: { target: 'es2022', assetsInlineLimit: 0, modulePreload: { polyfill: false }, emptyOutDir: false, reportCompressedSize: false, rolldownOptions: { checks: { pluginTimings: false } } },
  server: { proxy: { '/api': { target: 'http://127.0.0.1:8080', changeOrigin: true } } },
  test: { include: ['src/**/*.test.ts', 'scripts/*.test.mjs'] },
});
