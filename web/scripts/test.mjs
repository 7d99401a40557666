// All tests of the pages, told as events: types, plain functions, and the pages
// in a browser. node scripts/test.mjs [PATH OF THE COMMAND]
import { spawnSync } from 'node:child_process';

const web = new URL('..', import.meta.url).pathname;
const tell = (action, test, output = '') => {
  for (const l of output.trimEnd().split('\n')) console.log(JSON.stringify({ Action: 'output', Package: 'web', Test: test, Output: `${l}\n` }));
  console.log(JSON.stringify({ Action: action, Package: 'web', Test: test }));
};

let failed = false;
for (const [name, ...words] of [
  ['types', 'npx', 'svelte-check', '--fail-on-warnings'],
  ['functions', 'npx', 'vitest', 'run', '--passWithNoTests'],
  ['sizes', 'node', 'scripts/budget.mjs'],
]) {
  const r = spawnSync(words[0], words.slice(1), { cwd: web, encoding: 'utf8' });
  const ok = r.status === 0;
  failed ||= !ok;
  tell(ok ? 'pass' : 'fail', name, ok ? '' : `${r.stdout}${r.stderr}`);
}

// The browser tells its own events.
const r = spawnSync('node', ['e2e/run.mjs', '--events', ...process.argv.slice(2)], { cwd: web, encoding: 'utf8', maxBuffer: 1 << 26 });
process.stdout.write(r.stdout);
process.stderr.write(r.stderr);
process.exit(failed || r.status !== 0 ? 1 : 0);
