// The worker that keeps the pages, on a small folder of its own: what it
// keeps, when it takes a newer build, and what it does with a broken one.
import { mkdtempSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fill, sha256 } from '../scripts/dist.mjs';
import { same, step, until, want } from './harness.mjs';
import { serve } from './serve.mjs';

const worker = readFileSync(new URL('../public/sw.js', import.meta.url), 'utf8');
const page = `
navigator.serviceWorker.addEventListener('message', (e) => { if (e.data?.free && window.mute !== true) e.ports[0].postMessage(window.entry ? { free: false, why: 'an entry is open' } : { free: true }); });
navigator.serviceWorker.addEventListener('controllerchange', () => { window.changed = (window.changed ?? 0) + 1; });
navigator.serviceWorker.startMessages();
window.take = async () => { const r = await navigator.serviceWorker.getRegistration(); const { port1, port2 } = new MessageChannel(); const told = new Promise((d) => (port1.onmessage = (e) => d(e.data))); r.waiting.postMessage({ take: true }, [port2]); return told; };
navigator.serviceWorker.register('./sw.js');`;

function folder(base, name, word, spoil = false) {
  const dir = join(base, name);
  mkdirSync(join(dir, 'assets'), { recursive: true });
  const files = { 'index.html': `<!doctype html><html lang="en"><title>w</title><p id="word">${word}</p><script src="./page.js"></script></html>`, 'page.js': page, 'assets/same.js': '// the same in every build' };
  for (const [n, text] of Object.entries(files)) writeFileSync(join(dir, n), text);
  const list = Object.fromEntries(Object.entries(files).map(([n, text]) => [n, sha256(text)]));
  if (spoil) list['page.js'] = sha256('another file');
  writeFileSync(join(dir, 'sw.js'), fill(worker, list));
  return dir;
}

export async function workerSteps(browser) {
  const base = mkdtempSync(join(tmpdir(), 'stubup-worker-'));
  const first = folder(base, 'a', 'first');
  const second = folder(base, 'b', 'second');
  const broken = folder(base, 'c', 'third', true);
  const server = await serve(first);
  const context = await browser.newContext();
  const p = await context.newPage();
  const names = () => p.evaluate(() => caches.keys());
  const word = () => p.textContent('#word');
  const look = () => p.evaluate(async () => (await navigator.serviceWorker.getRegistration()).update().catch(() => {}));
  const waiting = () => p.evaluate(async () => !!(await navigator.serviceWorker.getRegistration())?.waiting);
  try {
    await step('worker: one visit is enough for no signal', async () => {
      await p.goto(server.url);
      await until(() => p.evaluate(() => !!navigator.serviceWorker.controller), 'the worker takes the first page');
      await context.setOffline(true);
      await p.reload();
      same(await word(), 'first', 'the page without a signal');
      same(await p.evaluate(async () => (await fetch('assets/same.js')).status), 200, 'a file without a signal');
      want(await p.evaluate(async () => fetch('unknown.js').then(() => false, () => true)), 'a file that is not of the build is not made up');
      await context.setOffline(false);
    }, 20);
    await step('worker: a broken build is not taken', async () => {
      server.swap(broken);
      await look();
      await until(() => p.evaluate(async () => !(await navigator.serviceWorker.getRegistration()).installing), 'the install ends');
      same(await waiting(), false, 'a build with a wrong file waits');
      same((await names()).length, 1, 'caches');
    }, 20);
    await step('worker: a newer build waits while an entry is open', async () => {
      server.swap(second);
      await look();
      await until(waiting, 'the newer build waits');
      await p.evaluate(() => (window.entry = true));
      same(await p.evaluate(() => window.take()), { taken: false, why: 'an entry is open' }, 'asked with an entry open');
      await p.evaluate(() => ((window.entry = false), (window.mute = true)));
      same((await p.evaluate(() => window.take())).taken, false, 'asked with a page that does not answer');
      const other = await context.newPage();
      await other.goto(server.url);
      same(await other.textContent('#word'), 'first', 'a second page is of the same build');
      await other.evaluate(() => (window.entry = true));
      await p.evaluate(() => (window.mute = false));
      same((await p.evaluate(() => window.take())).taken, false, 'asked with an entry open in another page');
      same(await p.evaluate(() => window.changed ?? 0), 0, 'the page was taken over');
      same(await waiting(), true, 'it still waits');
      await other.close();
    }, 20);
    await step('worker: then it is taken, and the old build is dropped', async () => {
      same(await p.evaluate(() => window.take()), { taken: true }, 'asked with nothing open');
      await until(() => p.evaluate(() => window.changed === 1), 'the page hears of it');
      await until(async () => (await names()).length === 1, 'one cache is left');
      await context.setOffline(true);
      await p.reload();
      same(await word(), 'second', 'the page after the newer build was taken');
      await context.setOffline(false);
    }, 20);
    await step('worker: with no page left the newer build comes by itself', async () => {
      server.swap(first);
      await look();
      await until(waiting, 'the other build waits');
      // It is taken once the last page has gone, which the browser notices a
      // moment after.
      await until(async () => {
        await p.goto('about:blank');
        await new Promise((d) => setTimeout(d, 700));
        await p.goto(server.url);
        return (await word()) === 'first';
      }, 'the other build is there');
    }, 20);
  } finally {
    await context.close();
    await server.close();
    rmSync(base, { recursive: true });
  }
}
