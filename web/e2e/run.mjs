// The pages in a real browser: node run.mjs [--long] [--stubup=BINARY] [--suite=NAMES] [--only=WORDS|WORDS] [--events].
// With a binary the pages come from "BINARY serve", else from a small server
// that sends the same headers. The last line is the run's figures as JSON.
import { appendFileSync, existsSync, mkdirSync } from 'node:fs';
import { appSteps } from './app.mjs';
import { browserPath, events, launch, tally, tell } from './harness.mjs';
import { serve } from './serve.mjs';
import { started } from './command.mjs';
import { drawSteps } from './draw.mjs';
import { hostileSteps } from './hostile.mjs';
import { looksSteps } from './looks.mjs';
import { paceSteps } from './pace.mjs';
import { roomsSteps } from './rooms.mjs';
import { runsSteps } from './runs.mjs';
import { scoreSteps } from './score.mjs';
import { trustSteps } from './trust.mjs';
import { workerSteps } from './worker.mjs';

const arg = (name) => process.argv.find((a) => a.startsWith(`--${name}=`))?.slice(name.length + 3);
const long = process.argv.includes('--long');
const suite = arg('suite');
const suites = {
  worker: (...a) => (arg('stubup') ? undefined : workerSteps(...a)),
  pace: paceSteps, app: appSteps, draw: drawSteps, runs: runsSteps, rooms: roomsSteps, looks: looksSteps, score: scoreSteps, hostile: hostileSteps, trust: trustSteps,
};
const dist = new URL('../dist', import.meta.url).pathname;

if (!browserPath()) {
  if (events) tell('skip', 'browser', 'not proven here: chromium');
  else console.log('not proven here: chromium');
  process.exit(0);
}
if (!existsSync(`${dist}/sw.js`)) {
  tell('fail', 'pages', 'web/dist is not built; run make web');
  process.exit(1);
}

// One lane after the other, each with a browser of its own: within a suite a phone and a desk
// share the two processors, and more than that only makes each step late.
const lanes = [['pace', 'worker', 'app', 'draw'], ['runs', 'score', 'hostile', 'trust'], ['rooms', 'looks']];
const from = arg('stubup') ? await started(arg('stubup')) : await serve(dist);
const figures = { at: new Date().toISOString(), server: arg('stubup') ? 'command' : 'files' };
const t = Date.now();
async function lane(of) {
  const names = of.filter((n) => !suite || suite.split(',').includes(n));
  if (names.length === 0) return;
  const browser = await launch();
  figures.chromium = browser.version();
  try {
    for (const name of names) {
      const began = Date.now();
      await suites[name](browser, from, figures, { long, command: !!arg('stubup'), bin: arg('stubup') });
      (figures.took ??= {})[name] = Math.round((Date.now() - began) / 100) / 10;
    }
  } finally {
    await browser.close();
  }
}
try {
  for (const l of lanes) await lane(l);
} finally {
  await from.close();
}
const line = JSON.stringify({ ...figures, seconds: Math.round((Date.now() - t) / 100) / 10, ...tally });
const out = new URL('../../out/', import.meta.url).pathname;
mkdirSync(out, { recursive: true });
appendFileSync(`${out}ux.jsonl`, `${line}\n`);
console.log(line);
process.exit(tally.failed ? 1 : 0);
