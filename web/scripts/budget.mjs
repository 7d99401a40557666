// Holds the built files to their sizes on the wire, gzip: the scripts that a
// page loads 120 KB in all, the engine 2.8 MB (told only, where it was packed
// in haste). The styles are told beside them.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { fileURLToPath } from 'node:url';
import { everyFile } from './dist.mjs';

const out = fileURLToPath(new URL('../dist', import.meta.url));
// A file counts as its .gz where there is one.
const all = new Set(everyFile(out));
const wire = (name) => (name.endsWith('.gz') ? readFileSync(join(out, name)).length : all.has(`${name}.gz`) ? 0 : gzipSync(readFileSync(join(out, name)), { level: 9 }).length);
const sum = (end) => [...all].filter((n) => n !== 'sw.js' && (n.endsWith(end) || n.endsWith(`${end}.gz`))).reduce((n, f) => n + wire(f), 0);

const held = [
  { what: 'scripts', bytes: sum('.js'), most: 120e3, fails: true },
  { what: 'engine', bytes: wire('engine.wasm.gz'), most: 2.8e6, fails: all.has('engine.wasm.br') },
  { what: 'styles', bytes: sum('.css'), most: Infinity, fails: true },
  { what: 'type', bytes: sum('.woff2'), most: 40e3, fails: true },
];
let bad = 0;
for (const { what, bytes, most, fails } of held) {
  const size = bytes < 1e6 ? `${(bytes / 1e3).toFixed(1)} KB` : `${(bytes / 1e6).toFixed(2)} MB`;
  const limit = most === Infinity ? '' : most < 1e6 ? ` of ${most / 1e3} KB` : ` of ${most / 1e6} MB`;
  const over = bytes > most;
  if (over && fails) bad++;
  console.log(`${over ? (fails ? 'OVER' : 'over, warning') : 'holds'}: ${what} ${size}${limit} gzip`);
}
if (sum('.js') === 0 || sum('.wasm') === 0) {
  console.log('nothing is built; run make web');
  bad++;
}
process.exit(bad ? 1 : 0);
