// What is on the device and what the page says of it, for the steps on trust.
import { readdirSync, readFileSync } from 'node:fs';
import { button } from './pages.mjs';
import { until } from './harness.mjs';

// rows reads what is on the disk, past the pages. It makes nothing: where there
// is no database, or no such part of one, it fails and lets go.
export const rows = (page, name) => page.evaluate(inStore, [name]);

// put writes records past the pages.
export const put = (page, name, values) => page.evaluate(inStore, [name, values]);

const inStore = ([name, values]) =>
  new Promise((done, fail) => {
    const r = indexedDB.open('stubup');
    r.onupgradeneeded = () => r.transaction.abort();
    r.onerror = () => fail(new Error(`${name}: ${r.error?.name}`));
    r.onsuccess = () => {
      const d = r.result;
      d.onversionchange = () => d.close();
      const end = (f) => (x) => (d.close(), f(x));
      try {
        const tx = d.transaction(name, values ? 'readwrite' : 'readonly');
        tx.onabort = () => end(fail)(new Error(`${name}: ${tx.error?.name}`));
        if (values) for (const v of values) tx.objectStore(name).put(v);
        const q = tx.objectStore(name).getAll();
        tx.oncomplete = () => end(done)(q.result);
      } catch (e) {
        end(fail)(e);
      }
    };
  });

export const keptLine = (page) => page.locator('.kept').textContent();

export async function move(page, by) {
  const m = page.locator('.mover');
  // A thing that is picked is let go by the next touch.
  if (!(await m.isVisible())) await page.locator('.things').getByRole('button', { name: /rod/i }).first().click();
  await m.getByLabel('by east').fill(by);
  await m.getByLabel('by east').press('Enter');
  await until(() => m.getByRole('button', { name: 'move it' }).isEnabled(), 'the length is read');
  await m.getByRole('button', { name: 'move it' }).click();
}

// badge is what the page says of sending: how many are not sent, and how many
// of them went out without an answer.
export async function badge(page) {
  const said = await page.locator('.kept span').nth(1).textContent();
  const n = /all sent|nothing to send/.test(said) ? 0 : Number(/(\d+) not sent/.exec(said)?.[1] ?? NaN);
  return { n, unheard: Number(/(\d+) went out/.exec(said)?.[1] ?? 0), said };
}

export async function send(page) {
  await button(page, 'send').click();
  await until(async () => !(await page.locator('.kept button').filter({ hasText: 'sending' }).isVisible()), 'the sending ends', 30000);
}

// edits makes changes with the keys alone: a move, and then back and forth.
export async function edits(page, n) {
  const before = (await rows(page, 'outbox')).length;
  await move(page, '1 in');
  await until(async () => (await rows(page, 'outbox')).length === before + 1, 'the first change is kept', 30000);
  await page.evaluate(() => document.activeElement?.blur());
  for (let i = 1; i < n; i++) {
    await page.evaluate((key) => document.body.dispatchEvent(new KeyboardEvent('keydown', { key, ctrlKey: true, bubbles: true })), i % 2 ? 'z' : 'y');
  }
  await until(async () => (await rows(page, 'outbox')).length === before + n, `${n} changes are kept`, 60000);
}

// pidsOf finds the processes that were started with a profile folder.
export function pidsOf(dir) {
  return readdirSync('/proc')
    .filter((p) => /^\d+$/.test(p) && Number(p) !== process.pid)
    .filter((p) => {
      try {
        return readFileSync(`/proc/${p}/cmdline`, 'utf8').includes(dir);
      } catch {
        return false;
      }
    })
    .map(Number);
}
