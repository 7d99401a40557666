// Suite "runs": runs drawn, bent, split and carded.
import { execFileSync } from 'node:child_process';
import { writeFileSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { axe, devices, same, shots, step as told, until, want, watch } from './harness.mjs';
import { button, hash, opened, out, root, worked } from './pages.mjs';

// at says where a place of the ground is on the screen, by two things whose
// places are known: the plan is to scale.
async function scale(page) {
  return page.evaluate(() => {
    const rule = document.querySelector('.over .rule path').getAttribute('d');
    const text = document.querySelector('.over .rule text').textContent;
    const w = Number(/h([\d.]+)/.exec(rule)[1]);
    return w / (Number(/(\d+)/.exec(text)[1]) * (text.includes('ft') ? 1 : 3.28084)); // px to the foot
  });
}

async function runsOn(browser, from, device) {
  const context = await browser.newContext({ ...devices[device], acceptDownloads: true });
  const page = await context.newPage();
  const said = watch(page);
  const phone = device === 'phone';
  const here = (s) => `${device}: ${s}`;
  const figures = async () => { if (phone) await page.locator('.foot').getByRole('button', { name: 'write' }).click(); };
  const sketch = async () => { if (phone) await page.locator('.foot').getByRole('button', { name: 'plan' }).click(); };
  const tap = async (x, y) => (phone ? page.touchscreen.tap(x, y) : page.mouse.click(x, y));
  const step = async (name, f, most) => (await told(name, f, most)) || (await page.screenshot({ path: `${shots}fail-${name.replace(/[^a-z]+/gi, '-').slice(0, 60)}.png` }).catch(() => {}), false);
  let kept = '';
  let ok = await step(here('a run is drawn, and says what its bends add up to before the finger is lifted'), async () => {
    await opened(page, from);
    await figures();
    kept = await out(page);
    await button(page, 'other').click();
    await button(page, 'run').click();
    await sketch();
    await button(page, 'snap on').click(); // what lies about is not to be met
    const b = await page.locator('.area').boundingBox();
    const ft = await scale(page);
    const mid = [b.x + b.width / 2, b.y + b.height / 2 - 20];
    // 12 ft apart, square turns: 90, 90, 90 by hand.
    const d = 8 * ft;
    const way = [[-d, d / 2], [0, d / 2], [0, -d / 2], [d, -d / 2]];
    for (const [x, y] of way.slice(0, 3)) await tap(mid[0] + x, mid[1] + y);
    await until(async () => /90 of 180 \| 360/.test(await page.locator('.bar').textContent()), 'the sum of one bend');
    // The next place is only pointed at: the sum passes no limit yet.
    const [x, y] = way[3];
    if (phone) {
      const c = await context.newCDPSession(page);
      await c.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [{ x: mid[0] + x, y: mid[1] + y }] });
      await until(async () => /180 of 180 \| 360/.test(await page.locator('.over').textContent()), 'the sum at the finger, before it is lifted');
      await c.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
    } else {
      await page.mouse.move(mid[0] + x, mid[1] + y, { steps: 3 });
      await until(async () => /180 of 180 \| 360/.test(await page.locator('.over').textContent()), 'the sum at the finger, before it is pressed');
      await page.mouse.click(mid[0] + x, mid[1] + y);
    }
    await figures();
    await page.getByLabel('rises at its end to').fill('3 ft');
    await page.getByLabel('rises at its end to').press('Tab');
    await page.getByLabel('from', { exact: true }).fill('post #3');
    await sketch();
    // Undo in the middle takes back one place, and nothing of the document.
    const dots = () => page.locator('.over circle.spot').count();
    const were = await dots();
    await tap(mid[0] + d, mid[1] + d);
    await until(async () => (await dots()) === were + 1, 'one more place');
    await page.evaluate(() => document.activeElement?.blur());
    await page.keyboard.press('Control+z');
    await until(async () => (await dots()) === were, 'undo takes back one place');
    await figures();
    same(await out(page), kept, 'the document while a run is drawn');
    await sketch();
    // Pointing at one more place passes the owner's limit, and says what costs it.
    if (!phone) {
      await page.mouse.move(mid[0] + d, mid[1] + d, { steps: 3 });
      await until(async () => /over the owner's 180: .*90 left costs 90.*passes the owner's 180 at 270/.test(await page.locator('.costs').textContent().catch(() => '')), 'which bend costs what');
      await page.screenshot({ path: `${shots}${device}-run-drawn.png` });
    }
    await page.locator('.bar').getByRole('button', { name: 'add' }).click();
    await worked(page);
    await figures();
    await until(async () => (await out(page)) !== kept, 'the document has it');
    want((await out(page)).includes('from: "post #3"'), 'what was typed stands there whole');
    same(said.splice(0), [], 'on the console');
  });
  if (!ok) return context.close();

  const open = async (name) => {
    await figures();
    if (!(await page.locator('.things').getByRole('button', { name }).first().getAttribute('aria-pressed').then((v) => v === 'true'))) await page.locator('.things').getByRole('button', { name }).first().click();
    await page.locator('.run .tally').waitFor();
  };
  await step(here('the run that was drawn is over its limit; a pull point is three taps away and both sums are told before'), async () => {
    await open(/^run fiber 2/);
    const first = page.locator('.run .tally > li').first();
    await until(async () => /270 of 180 \| 360/.test(await first.textContent()), 'the sum of three bends');
    want(/broken/.test(await first.textContent()), 'it is broken');
    want(/costs 90/.test(await first.textContent()), 'it says what costs it');
    kept = await out(page);
    await until(async () => (await page.locator('.ways > li').count()) > 0, 'ways to bring it within', 20000);
    want(/tension/.test(await page.locator('.ways').textContent()) && /no price|\d/.test(await page.locator('.ways').textContent()), 'a way says its tension and its cost');
    if (!(await page.evaluate(() => document.querySelector('.run .tally button').getAttribute('aria-expanded') === 'true'))) await first.getByRole('button').first().click(); // 1
    await button(page, 'pull point').click(); // 2
    const spot = page.locator('.spots').getByRole('button', { name: /both hold/ }).first();
    await spot.waitFor();
    const sums = /(\d+ \| \d+)/.exec(await spot.textContent())[1];
    await page.screenshot({ path: `${shots}${device}-run-pull.png` });
    await spot.click(); // 3
    await until(async () => (await page.locator('.run .tally > li').count()) === 2, 'two sections');
    const got = (await page.locator('.run .tally > li b').allTextContents()).map((t) => t.split(' ')[0]).join(' | ');
    same(got, sums, 'the sums of both sections');
    await page.evaluate(() => document.activeElement?.blur());
    await page.keyboard.press('Control+z');
    await until(async () => hash(await out(page)) === hash(kept), 'undo takes it out again');
    same(said.splice(0), [], 'on the console');
  });

  await step(here('another fitting is set in its place, with the sum that was told; the bend sheet is the engine\'s'), async () => {
    await open(/^run generator 1/);
    const bend = page.locator('.run .steps button').first();
    await bend.click();
    const other = page.locator('.run .spots').getByRole('button', { name: /sweep, radius 24 in/ }).first();
    await other.waitFor();
    const told = /of 360|(\d+(?: \| \d+)*) degrees/.exec(await other.textContent())[1];
    await page.screenshot({ path: `${shots}${device}-run-swap.png` });
    await other.click();
    await until(async () => /radius 24 in/.test(await page.locator('.run .steps').textContent()), 'the fitting is there');
    const now = (await page.locator('.run .tally > li b').allTextContents()).map((t) => t.split(' ')[0]).join(' | ');
    same(now, told, 'the sum');
    // The same document through the command: its bend sheet has the same figures.
    const dir = mkdtempSync(join(tmpdir(), 'stubup-run-'));
    try {
      writeFileSync(join(dir, 'site.yaml'), await out(page));
      let text = '';
      try {
        text = execFileSync(`${root}bin/stubup`, ['work', join(dir, 'site.yaml'), '--plain'], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] });
      } catch (e) {
        text = e.stdout;
      }
      await until(async () => (await page.locator('.run details').count()) > 0, 'its cards', 30000);
      await page.locator('.run details summary').first().click();
      await until(() => page.evaluate(() => !document.querySelector('.summary.stale')), 'the results');
      await until(async () => {
        const cells = (await page.locator('.run details table').first().locator('tbody td').allTextContents()).map((c) => c.trim()).filter((c) => /\d/.test(c));
        return cells.length > 4 && cells.every((c) => text.includes(c.replace(/\s+/g, ' ')));
      }, 'every figure of the bend sheet is the command\'s', 30000);
    } finally {
      rmSync(dir, { recursive: true });
    }
    await page.evaluate(() => document.activeElement?.blur());
    await page.keyboard.press('Control+z');
    await until(async () => hash(await out(page)) === hash(kept), 'undo brings back the same bytes');
    same(said.splice(0), [], 'on the console');
  }, 90);

  await step(here('a corner is moved by typed lengths, in plan and in height, and what cannot be is said'), async () => {
    await open(/^run fiber 1/);
    await page.locator('.run').getByLabel('corner').selectOption('1');
    await page.locator('.run').getByLabel('by north').fill('-1 ft');
    await page.locator('.run').getByLabel('by north').press('Enter');
    await page.locator('.run form').getByRole('button', { name: 'move it' }).click();
    await until(async () => hash(await out(page)) !== hash(kept), 'the document changes');
    await until(async () => (await page.locator('.run .tally > li b').first().textContent()) !== '135 of 180 | 360', 'the sum follows the new angle');
    if (!phone) await page.screenshot({ path: `${shots}${device}-run-open.png` });
    await page.evaluate(() => document.activeElement?.blur());
    await page.keyboard.press('Control+z');
    await until(async () => hash(await out(page)) === hash(kept), 'undo brings back the same bytes');
    await page.locator('.run').getByLabel('corner').selectOption('1');
    await page.locator('.run').getByLabel('by east').fill('60 ft');
    await page.locator('.run').getByLabel('by east').press('Enter');
    await page.locator('.run form').getByRole('button', { name: 'move it' }).click();
    await page.getByText(/too short|turn back|would bend/).first().waitFor();
    same(hash(await out(page)), hash(kept), 'what cannot be leaves the document as it is');
    same(said.splice(0), [], 'on the console');
  });

  await step(here('from the side a corner moves by finger only when it is unlocked; a way that is proposed is taken; undo brings back the same bytes'), async () => {
    // The site file is taken out on the left page.
    const taken = async () => {
      await figures();
      const text = await out(page);
      await sketch();
      return text;
    };
    await open(/^run fiber 2/);
    await sketch();
    const side = page.locator('.side');
    await side.locator('svg').waitFor();
    await side.scrollIntoViewIfNeeded();
    await page.screenshot({ path: `${shots}${device}-run-side.png` });
    kept = await taken();
    // All corners but the last lie level: pulling the last one up keeps them so.
    const pull = async (up) => {
      await side.locator('.handle').last().scrollIntoViewIfNeeded();
      const b = await side.locator('.handle').last().boundingBox();
      const [x, y] = [b.x + b.width / 2, b.y + b.height / 2];
      if (phone) {
        const c = await context.newCDPSession(page);
        const at = (type, dy) => c.send('Input.dispatchTouchEvent', { type, touchPoints: type === 'touchEnd' ? [] : [{ x, y: y - dy }] });
        await at('touchStart', 0);
        for (let k = 1; k <= 4; k++) await at('touchMove', (up * k) / 4);
        await at('touchEnd', 0);
      } else {
        await page.mouse.move(x, y);
        await page.mouse.down();
        await page.mouse.move(x, y - up, { steps: 4 });
        await page.mouse.up();
      }
    };
    if (phone) {
      await pull(12);
      await worked(page);
      same(hash(await taken()), hash(kept), 'locked: the document stays');
      await side.getByRole('button', { name: /locked|unlock/ }).click();
    }
    await pull(12);
    await until(async () => hash(await taken()) !== hash(kept), 'the corner is moved');
    await page.evaluate(() => document.activeElement?.blur());
    await page.keyboard.press('Control+z');
    await until(async () => hash(await taken()) === hash(kept), 'one undo brings back the same bytes');
    await figures();
    const way = page.locator('.ways > li').filter({ has: page.getByRole('button', { name: 'take it' }) }).first();
    await way.waitFor();
    await way.scrollIntoViewIfNeeded();
    await page.screenshot({ path: `${shots}${device}-run-ways.png` });
    const told = (await way.locator('dd').first().textContent()).replaceAll(' deg', '').trim();
    await way.getByRole('button', { name: 'take it' }).click();
    await until(async () => (await page.locator('.run .tally > li b').allTextContents()).map((t) => t.split(' ')[0]).join(' | ') === told, 'the sums that were told');
    await page.evaluate(() => document.activeElement?.blur());
    await page.keyboard.press('Control+z');
    await until(async () => hash(await out(page)) === hash(kept), 'undo brings back the same bytes');
    same(said.splice(0), [], 'on the console');
  });

  await step(here('a run that is open is read aloud and touched without trouble; its cards fit the screen'), async () => {
    await open(/^run fiber 1/);
    await until(async () => (await page.locator('.run details').count()) > 0, 'its cards', 60000);
    if (!(await page.locator('.run details').getAttribute('open') !== null)) await page.locator('.run details summary').first().click();
    await page.locator('.run .steps button:enabled').first().click();
    await page.locator('.run .steps .spots button').first().waitFor();
    want(/^Pull card: fiber 1/m.test((await page.locator('.run details').innerText())), 'the pull card of this run');
    want(!/generator 1/.test(await page.locator('.run details').innerText()), 'no other run\'s cards');
    await page.locator('.run details').scrollIntoViewIfNeeded();
    await page.screenshot({ path: `${shots}${device}-run-cards.png` });
    same(await page.evaluate(() => document.documentElement.scrollWidth > innerWidth), false, 'the page is no wider than the screen');
    const small = () => page.evaluate(() => [...document.querySelectorAll('.run button, .run summary, .run select, .run input, .side button, .side .reach')]
      .map((b) => [b.getBoundingClientRect(), b.textContent.trim() || b.tagName]).filter(([r]) => r.width > 0 && (r.height < 47.5 || r.width < 47.5)).map(([r, t]) => `${t}: ${Math.round(r.width)} x ${Math.round(r.height)}`));
    same(await small(), [], 'targets under 48 px');
    same(await axe(page), [], 'axe on the left page');
    await sketch();
    await page.locator('.side svg').waitFor();
    same(await small(), [], 'targets under 48 px on the sketch');
    same(await axe(page), [], 'axe on the sketch');
    same(said.splice(0), [], 'on the console');
  }, 90);
  await context.close();
}

export async function runsSteps(browser, from) {
  await Promise.all(['phone', 'desktop'].map((d) => runsOn(browser, from, d)));
}
