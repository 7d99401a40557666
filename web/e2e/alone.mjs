// A browser for what is timed: a profile of its own on the disk, as a phone
// has, spoken to over its pipe in a handful of messages. What usually drives
// the pages puts scripts of its own into each of them, and on a page that is
// slowed four times they take as long as the page does.
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { browserPath } from './harness.mjs';

export async function alone() {
  const profile = mkdtempSync(join(tmpdir(), 'stubup-alone-'));
  const browser = spawn(
    browserPath(),
    ['--headless', '--no-sandbox', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync', '--disable-dev-shm-usage', `--user-data-dir=${profile}`, '--remote-debugging-pipe', 'about:blank'],
    { stdio: ['ignore', 'ignore', 'ignore', 'pipe', 'pipe'] },
  );
  const ended = new Promise((done) => browser.on('exit', done));
  const waiting = new Map();
  let n = 0;
  let rest = '';
  browser.stdio[4].setEncoding('utf8').on('data', (d) => {
    const all = (rest + d).split('\0');
    rest = all.pop();
    for (const m of all.map((t) => JSON.parse(t))) {
      const w = waiting.get(m.id);
      waiting.delete(m.id);
      if (m.error) w?.fail(new Error(m.error.message));
      else w?.done(m.result);
    }
  });
  const send = (method, params = {}, sessionId = undefined) =>
    new Promise((done, fail) => {
      waiting.set(++n, { done, fail });
      browser.stdio[3].write(`${JSON.stringify({ id: n, method, params, sessionId })}\0`);
    });

  return {
    // page opens an address with a script that runs before its own, on a phone
    // whose processor is so many times slower.
    async page(url, { before, cpu = 1, phone }) {
      const { targetId } = await send('Target.createTarget', { url: 'about:blank' });
      const { sessionId: s } = await send('Target.attachToTarget', { targetId, flatten: true });
      await send('Page.enable', {}, s);
      await send('Emulation.setDeviceMetricsOverride', { ...phone.viewport, deviceScaleFactor: phone.deviceScaleFactor, mobile: true }, s);
      await send('Emulation.setTouchEmulationEnabled', { enabled: true }, s);
      await send('Page.addScriptToEvaluateOnNewDocument', { source: `(${before})()` }, s);
      await send('Emulation.setCPUThrottlingRate', { rate: cpu }, s);
      await send('Page.navigate', { url }, s);
      return {
        async evaluate(f, ...args) {
          const r = await send('Runtime.evaluate', { expression: `(${f})(...${JSON.stringify(args)})`, returnByValue: true, awaitPromise: true }, s);
          if (r.exceptionDetails) throw new Error(r.exceptionDetails.exception?.description ?? r.exceptionDetails.text);
          return r.result.value;
        },
        close: () => send('Target.closeTarget', { targetId }),
      };
    },
    async close() {
      await send('Browser.close').catch(() => {});
      await ended;
      rmSync(profile, { recursive: true, force: true, maxRetries: 10, retryDelay: 200 });
    },
  };
}
