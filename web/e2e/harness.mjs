// What the browser tests share: steps that are told one by one, a browser, and
// pages that hold their own console to account.
import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { chromium } from 'playwright-core';

export const shots = new URL('./shots/', import.meta.url).pathname;
mkdirSync(shots, { recursive: true });

export const events = process.argv.includes('--events');
const suite = 'web/e2e';
export const tally = { passed: 0, failed: 0 };

// tell prints one event in the shape that "go test -json" uses, which the
// closing summary of the tests reads; without --events a plain line.
export function tell(action, test, output = '', elapsed = 0) {
  if (events) {
    for (const l of output ? output.trimEnd().split('\n') : []) console.log(JSON.stringify({ Action: 'output', Package: suite, Test: test, Output: `${l}\n` }));
    console.log(JSON.stringify({ Action: action, Package: suite, Test: test, Elapsed: elapsed }));
  } else console.log(`${action.padEnd(5)} ${elapsed.toFixed(1).padStart(6)}s ${test}${output ? `\n${output.trimEnd().replace(/^/gm, '      ')}` : ''}`);
}

const only = process.argv.find((a) => a.startsWith('--only='))?.slice(7);

// step runs one test; a failure is told and the next goes on. It answers
// whether it passed.
export async function step(name, f, most = 60) {
  if (only && !only.split('|').some((words) => name.includes(words))) return true;
  const t = Date.now();
  let late;
  try {
    await Promise.race([f(), new Promise((_, fail) => (late = setTimeout(() => fail(new Error(`not done in ${most} s`)), most * 1000)))]);
    tally.passed++;
    tell('pass', name, '', (Date.now() - t) / 1000);
    return true;
  } catch (e) {
    tally.failed++;
    tell('fail', name, String(e?.stack ?? e).slice(0, 4000), (Date.now() - t) / 1000);
    return false;
  } finally {
    clearTimeout(late);
  }
}

// skip tells that a step cannot be run here, and why.
export function skip(name, why) {
  tell('skip', name, `not proven here: ${why}`);
}

export function want(ok, what) {
  if (!ok) throw new Error(what);
}
export function same(got, wanted, what) {
  if (JSON.stringify(got) !== JSON.stringify(wanted)) throw new Error(`${what}: ${JSON.stringify(got)}, wanted ${JSON.stringify(wanted)}`);
}

export async function until(f, what, ms = 15000) {
  const end = Date.now() + ms;
  for (;;) {
    const got = await f();
    if (got) return got;
    if (Date.now() > end) throw new Error(`${what}: not within ${ms / 1000} s`);
    await new Promise((r) => setTimeout(r, 50));
  }
}

// browserPath is what CHROMIUM names or Debian's chromium; empty when there is
// none. At length it is the browser with its windows, else the one without,
// which draws and runs the same with a third less of the machine.
export function browserPath() {
  const whole = ['chromium', 'chromium-browser'];
  for (const name of [process.env.CHROMIUM, ...(process.argv.includes('--long') ? whole : []), 'chromium-headless-shell', ...whole].filter(Boolean)) {
    try {
      return execFileSync('sh', ['-c', 'command -v "$0"', name], { encoding: 'utf8' }).trim();
    } catch {
      continue;
    }
  }
  return '';
}

export const launch = () => chromium.launch({ executablePath: browserPath(), args: ['--no-sandbox', '--disable-dev-shm-usage'] });

export const devices = {
  phone: { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 },
  desktop: { viewport: { width: 1440, height: 900 } },
};

// watch collects what a page says that it should not: errors on the console,
// uncaught faults, and what the content policy refused. A door of the server
// that is not there, and the net when it is off, are no faults of the page.
export function watch(page) {
  const said = [];
  page.on('console', (m) => {
    if (m.type() !== 'error' && m.type() !== 'warning') return;
    const at = m.location().url ?? '';
    if (/\/api\//.test(at) || /ERR_INTERNET_DISCONNECTED|ERR_CONNECTION_REFUSED/.test(m.text())) return;
    said.push(`${m.type()}: ${m.text()} ${at}`);
  });
  page.on('pageerror', (e) => said.push(`fault: ${e.message}`));
  return said;
}

const axeText = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

// axe answers with the serious and critical findings of a page, one line each.
// The script is put in by the debugger, which the content policy does not
// reach.
export async function axe(page, rules = [], but = []) {
  if (!(await page.evaluate(() => 'axe' in window))) await page.evaluate(axeText);
  const found = await page.evaluate(async ([rules, but]) => {
    // A sketch is one picture with one name: its strokes are not looked at one by one.
    const r = await window.axe.run({ include: [['html']], exclude: [['svg.sketch > *'], ['svg.over > *']] }, { resultTypes: ['violations'], ...(rules.length ? { runOnly: rules } : {}), rules: Object.fromEntries(but.map((b) => [b, { enabled: false }])) });
    return r.violations.map((v) => ({ id: v.id, impact: v.impact, help: v.help, nodes: v.nodes.length, first: v.nodes[0]?.target.join(' '), why: v.nodes[0]?.failureSummary?.split('\n').slice(1, 3).join(' ') }));
  }, [rules, but]);
  return found.filter((v) => v.impact === 'serious' || v.impact === 'critical').map((v) => `${v.id} (${v.impact}, ${v.nodes}): ${v.help}; ${v.first} ${v.why ?? ''}`);
}

// paced makes a page as slow as a middling phone.
export async function paced(page, rate = 4) {
  const c = await page.context().newCDPSession(page);
  await c.send('Emulation.setCPUThrottlingRate', { rate });
}

// slower is how many times slower this machine is now than the one the bounds
// were set on, never under 1: a fixed loop took 60 ms there.
export async function slower(page) {
  const ms = await page.evaluate(() => {
    const once = () => {
      const t = performance.now();
      let x = 1;
      for (let i = 0; i < 3e7; i++) x = (Math.imul(x, 1103515245) + 12345) | 0;
      return performance.now() - t + (x === 7 ? 1 : 0);
    };
    return [once(), once(), once()].sort((a, b) => a - b)[1];
  });
  return { loop: Math.round(ms), factor: Math.max(1, ms / 60) };
}
