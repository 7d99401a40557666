// What a person does on every page, for all suites: opening the reference
// compound, going to a room, waiting for its results, taking the file out.
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { same, until } from './harness.mjs';

export const rooms = ['layout', 'prove', 'order', 'work', 'change', 'handover', 'sums'];
export const lights = ['day', 'sun', 'dusk'];
export const root = new URL('../../', import.meta.url).pathname;
export const example = `${root}examples/compound-a.yaml`;

// clocks notes in the page when the first figure with a unit stands in it.
export function clocks() {
  const look = () => {
    if (window.firstNumber === undefined && /\d (ohm|ft)\b/.test(document.querySelector('.summary, [data-summary]')?.textContent ?? '')) window.firstNumber = performance.now();
  };
  new MutationObserver(look).observe(document, { subtree: true, childList: true, characterData: true });
  window.shift = 0;
  new PerformanceObserver((l) => l.getEntries().forEach((e) => (window.shift += e.hadRecentInput ? 0 : e.value))).observe({ type: 'layout-shift', buffered: true });
}
// comings notes how far the engine was each time that the page told it, and
// whether the first figure was marked as worked out before.
export function comings() {
  window.parts = [];
  new MutationObserver(() => {
    const n = Number(/(\d+) %/.exec(document.querySelector('.age')?.textContent ?? '')?.[1]);
    if (n > 0 && n !== window.parts.at(-1)) window.parts.push(n);
    if (window.firstNumber !== undefined) window.firstStale ??= !!document.querySelector('.summary.stale');
  }).observe(document, { subtree: true, childList: true, characterData: true, attributes: true });
}
export const times = (page) =>
  page.evaluate(() => ({
    paint: Math.round(performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? -1),
    number: Math.round(window.firstNumber ?? -1),
    engine: Math.round(performance.getEntriesByName('engine-ready')[0]?.startTime ?? -1),
    shift: Math.round(window.shift * 1000) / 1000,
  }));

export const button = (page, name) => page.getByRole('button', { name, exact: typeof name === 'string' });
export const site = async (page) => /#\/site\/([^/]+)/.exec(page.url())?.[1] ?? '';

export async function room(page, name) {
  const id = await site(page);
  await page.evaluate((h) => (location.hash = h), `#/site/${id}/${name}`);
  await page.locator(`[data-room="${name}"]`).waitFor();
}

// worked waits until the results of the room in view are of the document as it
// stands.
export const worked = (page) => until(() => page.evaluate(() => document.querySelectorAll('.summary p').length > 0 && !document.querySelector('.summary.stale, [aria-busy="true"]')), 'the results of the room', 60000);

export async function light(page, name) {
  for (let i = 0; i < 3; i++) {
    // The words' size changes with the light, and with it the sketch's own room
    // and its strokes: that has settled two frames on.
    if ((await page.evaluate(() => document.documentElement.dataset.theme)) === name) return page.evaluate(() => new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(() => requestAnimationFrame(r)))));
    await page.locator('button.theme').first().evaluate((b) => b.click());
  }
  same(await page.evaluate(() => document.documentElement.dataset.theme), name, 'the light');
}

// unfolded opens all that is folded; a register is drawn where it is opened.
export async function unfolded(page) {
  await page.evaluate(() => document.querySelectorAll('main details').forEach((d) => (d.open = true)));
  await until(() => page.evaluate(() => [...document.querySelectorAll('.register')].every((d) => d.childElementCount > 1)), 'the registers');
}

// out takes the site's file out of the page, as a person does.
export async function out(page) {
  const [d] = await Promise.all([page.waitForEvent('download', { timeout: 15000 }), button(page, 'take out the site file').first().click()]);
  return readFileSync(await d.path(), 'utf8');
}
export const hash = (s) => createHash('sha256').update(s).digest('hex').slice(0, 12);

export const tables = (page) => page.evaluate(() => [...document.querySelectorAll('main table')].filter((t) => t.tBodies[0]?.rows.length > 0).length);

export async function side(page, name) {
  const b = page.locator('.sides').getByRole('button', { name });
  if (await b.isVisible()) await b.click();
}

// opened opens the reference compound in a fresh page and waits for its results.
export async function opened(page, from) {
  await page.goto(from.url);
  await button(page, 'open compound A').click();
  await page.locator('[data-room="layout"]').waitFor();
  await worked(page);
}
