// Writes what the rooms say of the reference compound, as the engine of this
// build works it out: example.mjs ENGINE SITE OUT. A first visit shows it while
// the engine is still coming. It is the same for the same sources.
import '../src/generated/wasm_exec.js';
import { readFileSync, writeFileSync } from 'node:fs';

const [engine, site, out] = process.argv.slice(2);
const go = new globalThis.Go();
const ready = new Promise((done) => (globalThis.stubupReady = done));
void go.run((await WebAssembly.instantiate(readFileSync(engine), go.importObject)).instance);
await ready;
const call = (name, arg) => {
  const a = JSON.parse(globalThis.stubupEngine.call(name, JSON.stringify(arg)));
  if (a.problem) throw new Error(`${site}, ${name}: ${a.problem.what}. ${a.problem.mend}`);
  return a;
};
call('open', { Name: site, Text: readFileSync(site, 'utf8'), AsOf: '2026-01-01T00:00:00Z' });
// No hour is told of it: what was worked out at a build is of no day on site.
const screens = ['layout', 'prove', 'order', 'work', 'handover'].map((Stage) => ({ ...call('stage', { Stage, Fresh: true }), asOf: '' }));
writeFileSync(out, JSON.stringify(screens));
process.exit(0);
