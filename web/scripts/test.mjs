// Every test of the pages, told as events in the shape of "go test -json", so
// that one summary reads them: types, unit tests, sizes, browser.
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const web = fileURLToPath(new URL('..', import.meta.url));
const bin = (name) => join(web, 'node_modules', '.bin', name);
const event = (e) => console.log(JSON.stringify(e));

function run(cmd, args, cwd = web, through = false) {
  return new Promise((done) => {
    let out = '';
    const p = spawn(cmd, args, { cwd, stdio: ['ignore', through ? 'inherit' : 'pipe', through ? 'inherit' : 'pipe'], env: { ...process.env, NO_COLOR: '1', FORCE_COLOR: '0' } });
    for (const s of [p.stdout, p.stderr]) s?.on('data', (d) => (out += d));
    p.on('error', (e) => done({ code: 1, out: String(e) }));
    p.on('close', (code) => done({ code: code ?? 1, out }));
  });
}

async function whole(name, cmd, args) {
  const t = Date.now();
  const { code, out } = await run(cmd, args);
  const at = { Package: 'web', Test: name, Elapsed: (Date.now() - t) / 1000 };
  for (const l of out.trimEnd().split('\n')) event({ Action: 'output', Package: 'web', Test: name, Output: `${l}\n` });
  event({ Action: code ? 'fail' : 'pass', ...at });
  event({ Action: code ? 'fail' : 'pass', Package: `web ${name}`, Elapsed: at.Elapsed });
  return code;
}

async function units() {
  const dir = mkdtempSync(join(tmpdir(), 'stubup-vitest-'));
  const t = Date.now();
  const { code, out } = await run(bin('vitest'), ['run', '--reporter=json', `--outputFile=${dir}/r.json`, '--passWithNoTests']);
  let told;
  try {
    told = JSON.parse(readFileSync(join(dir, 'r.json'), 'utf8'));
  } catch {
    told = { testResults: [] };
  }
  rmSync(dir, { recursive: true });
  let failed = 0;
  for (const file of told.testResults) {
    const name = file.name.startsWith(web) ? file.name.slice(web.length) : file.name;
    for (const a of file.assertionResults) {
      const at = { Package: `web/${name}`, Test: a.fullName, Elapsed: (a.duration ?? 0) / 1000 };
      for (const m of a.failureMessages ?? []) event({ Action: 'output', ...at, Output: `${m}\n` });
      event({ Action: a.status === 'passed' ? 'pass' : a.status === 'failed' ? 'fail' : 'skip', ...at });
      if (a.status === 'failed') failed++;
    }
  }
  const at = { Package: 'web units', Elapsed: (Date.now() - t) / 1000 };
  if (code && !failed) event({ Action: 'output', Package: 'web units', Test: '', Output: `${out}\n` });
  event({ Action: code ? 'fail' : 'pass', ...at });
  return code;
}

const codes = await Promise.all([whole('types', bin('svelte-check'), ['--fail-on-warnings', '--output', 'human']), units()]);
codes.push(await whole('sizes', process.execPath, ['scripts/budget.mjs']));
// Without a browser where only the pages themselves are asked for.
const t = Date.now();
const e2e = process.argv.includes('--pages') ? { code: 0 } : await run(process.execPath, ['run.mjs', '--events', ...process.argv.slice(2)], join(web, 'e2e'), true);
if (!process.argv.includes('--pages')) event({ Action: e2e.code ? 'fail' : 'pass', Package: 'web/e2e', Elapsed: (Date.now() - t) / 1000 });
process.exit([...codes, e2e.code].some(Boolean) ? 1 : 0);
