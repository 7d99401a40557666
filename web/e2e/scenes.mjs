// Every page that a person can have before them, with what opens in it: bars,
// lists, forms, answers. One page is led through all of them, so that what is
// asked of one room is asked of all.
import { readFileSync } from 'node:fs';
import { until, want } from './harness.mjs';
import { room, root, worked, unfolded } from './pages.mjs';

// led leads a page through the scenes and asks f of each by its name. It
// begins in an opened site and ends there. only picks scenes by their names.
export async function led(page, phone, f, only = () => true) {
  const see = async (name) => {
    if (!only(name)) return;
    await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
    await f(name);
  };
  const press = (l) => l.first().evaluate((b) => b.click());
  const side = async (s) => {
    if (!phone) return;
    const in_ = await page.evaluate(() => document.querySelector('.book').dataset.room);
    if (in_ === 'layout') await press(page.locator('.foot button').nth(s === 'figures' ? 2 : 1));
    else if (in_ !== 'handover' && in_ !== 'sums') await press(page.locator('.sides button').nth(s === 'figures' ? 0 : 1));
  };
  // One view of a desk shows both pages of a room; a phone has one at a time.
  const both = async (name) => {
    if (!phone) return see(name);
    await side('figures');
    await see(`${name}, figures`);
    await side('sketch');
    await see(`${name}, sketch`);
  };
  const wanted = (...names) => names.some((n) => only(n) || only(`${n}, figures`) || only(`${n}, sketch`));

  if (wanted('layout', 'layout, more nouns', 'layout, what is wrong', 'layout, arrows')) {
    await room(page, 'layout');
    await worked(page);
    await both('layout');
    await side('figures');
    await press(page.locator('.write .nouns button[aria-expanded]'));
    await unfolded(page);
    await see('layout, more nouns');
    await page.evaluate(() => document.querySelectorAll('main details').forEach((d) => (d.open = false)));
    await press(page.locator('.write .nouns button[aria-expanded]'));
    await side('sketch');
    const tools = page.locator('.tools button[aria-expanded]');
    await press(tools.nth(0));
    await see('layout, what is wrong');
    await press(tools.nth(0));
    await press(tools.nth(1));
    await see('layout, arrows');
    await press(tools.nth(1));
  }
  if (wanted('layout, sheet', 'layout, tables')) {
    await room(page, 'layout');
    await side('sketch');
    await press(page.locator('.views button').nth(1));
    await page.locator('.sheet figure svg').first().waitFor();
    await see('layout, sheet');
    await press(page.locator('.views button').nth(2));
    await page.locator('.sheet .tables table').first().waitFor();
    await see('layout, tables');
    await press(page.locator('.views button').nth(0));
  }
  const draws = async (name, noun, places) => {
    if (!wanted(name)) return;
    await room(page, 'layout');
    await side('figures');
    await press(page.locator('.write .nouns button[aria-expanded]'));
    await press(page.locator('.write .nouns button', { hasText: new RegExp(`^${noun}(·|$)`) }));
    await side('sketch');
    const b = await page.locator('.area').boundingBox();
    for (const [x, y] of places) await page.mouse.click(b.x + b.width * x, b.y + b.height * y);
    await both(name);
    await side('figures');
    await press(page.locator('.write form button[type="button"]').last());
    const open = page.locator('.write .nouns button[aria-expanded="true"]');
    if (await open.count()) await press(open);
  };
  await draws('layout, a rod is drawn', 'rod', [[0.4, 0.4]]);
  await draws('layout, a run is drawn', 'run', [[0.3, 0.3], [0.5, 0.3], [0.5, 0.5]]);
  const things = async (name, which, more) => {
    if (!wanted(name)) return;
    await room(page, 'layout');
    await side('figures');
    const find = () => page.evaluate((w) => [...document.querySelectorAll('.things li button')].findIndex((b) => new RegExp(w).test(b.textContent)), which);
    await until(async () => (await find()) >= 0, `something on the list is ${which}`, 30000);
    const at = await find();
    const b = page.locator('.things li button').nth(at);
    await press(b);
    await more?.();
    await both(name);
    await side('figures');
    if ((await b.getAttribute('aria-pressed')) === 'true') await press(b);
  };
  await things('layout, a joint', '\\bJ2\\b');
  await things('layout, a run', '^run ', async () => {
    await page.locator('.run .tally li button').first().waitFor({ state: 'attached' });
    await press(page.locator('.run .tally li button'));
    await until(() => page.evaluate(() => document.querySelectorAll('.run .steps li button').length > 0), 'the steps of the run');
    await press(page.locator('.run .steps li button'));
  });
  for (const r of ['prove', 'order', 'work']) {
    if (!wanted(r, `${r}, open`, `${r}, why`)) continue;
    await room(page, r);
    await worked(page);
    await both(r);
    await side('figures');
    await unfolded(page);
    if (r === 'prove') {
      await press(page.locator('.finding'));
      await page.locator('.findings dl').first().waitFor({ state: 'attached' });
    } else {
      await press(page.locator('.tables button.cell'));
      await page.locator('tr.lit').first().waitFor({ state: 'attached' });
    }
    await both(`${r}, open`);
    if (r === 'prove') {
      await side('figures');
      if (wanted('prove, why')) {
        await press(page.locator('.numbers li button'));
        await page.locator('dialog[open]').waitFor();
        await see('prove, why');
        await press(page.locator('dialog[open] button.main'));
      }
      await press(page.locator('.finding'));
    } else await press(page.locator('.tables button.cell'));
    await page.evaluate(() => document.querySelectorAll('main details').forEach((d) => (d.open = false)));
  }
  if (wanted('change', 'change, compared')) {
    await room(page, 'change');
    await both('change');
    const was = readFileSync(`${root}examples/compound-a.yaml`, 'utf8').replace('revision: A', 'revision: 0').replace('resistance-limit: 5 ohm', 'resistance-limit: 10 ohm').replace('[[14, 24], [18, 24]]', '[[14, 26], [18, 26]]');
    await page.locator('input[type=file]').setInputFiles({ name: 'compound-a-0.yaml', mimeType: 'application/yaml', buffer: Buffer.from(was) });
    await page.locator('.notice textarea').waitFor({ state: 'attached' });
    await both('change, compared');
  }
  if (wanted('handover')) {
    await room(page, 'handover');
    await worked(page);
    await see('handover');
  }
  if (wanted('sums', 'sums, an answer')) {
    await room(page, 'sums');
    await page.locator('.sums li a').first().waitFor();
    await see('sums');
    const id = /#\/site\/([^/]+)/.exec(page.url())[1];
    await page.evaluate((h) => (location.hash = h), `#/site/${id}/sums/rod/R1`);
    await page.locator('.answer li').first().waitFor();
    await see('sums, an answer');
  }
  if (phone && wanted('book')) {
    await press(page.locator('.foot button').nth(3));
    await see('book');
    await press(page.locator('.foot button').nth(3));
  }
}
