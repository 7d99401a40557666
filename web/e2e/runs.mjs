// Suite "runs": runs drawn, bent, split and carded.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { axe, devices, same, shots, slower, step as told, until, want, watch } from './harness.mjs';
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
    const side = page.locator('.side:not(.space)');
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
    await page.locator('.side:not(.space) svg').waitFor();
    same(await small(), [], 'targets under 48 px on the sketch');
    same(await axe(page), [], 'axe on the sketch');
    same(said.splice(0), [], 'on the console');
  }, 90);
  await context.close();
}

// overLimit is the fiber entry after the client moved it, drawn without a pull
// point: 45, 90 and 90 degrees against the owner's 180.
function overLimit() {
  let text = readFileSync(`${root}examples/fiber-entry-moved.yaml`, 'utf8');
  for (const [was, is] of [
    ['      - straight: 19 ft\n        in: trench\n      - handhole: hh-1\n      - straight: 19 ft\n', '      - straight: 38 ft\n'],
    ['        fiber: yes\n', '        fiber: yes\n        weight: 0.9 lb/ft\n    pull:\n      lubricant: yes\n'],
    ['state:\n', 'prices:\n  handhole: 410 each\n  trench: 12.50 per ft\n\nstate:\n'],
  ]) {
    want(text.includes(was), `the example says ${was}`);
    text = text.replace(was, is);
  }
  return text;
}
async function bring(page, from, text, name) {
  await page.goto(from.url);
  await page.locator('input[type=file]').setInputFiles({ name, mimeType: 'application/yaml', buffer: Buffer.from(text) });
  await page.locator('[data-room="layout"]').waitFor();
  await worked(page);
}
async function fresh(browser, device) {
  const context = await browser.newContext({ ...devices[device], acceptDownloads: true });
  const page = await context.newPage();
  const phone = device === 'phone';
  return {
    context, page, phone, said: watch(page),
    left: async () => { if (phone) await page.locator('.foot').getByRole('button', { name: 'write' }).click(); },
    right: async () => { if (phone) await page.locator('.foot').getByRole('button', { name: 'plan' }).click(); },
    step: async (name, f, most) => (await told(`${device}: ${name}`, f, most)) || (await page.screenshot({ path: `${shots}fail-${name.replace(/[^a-z]+/gi, '-').slice(0, 60)}.png` }).catch(() => {}), false),
  };
}
const sumsNow = async (page) => (await page.locator('.run .tally > li b').allTextContents()).map((t) => t.split(' ')[0]).join(' | ');
const seen = (page, sel) => page.evaluate((sel) => {
  const r = document.querySelector(sel)?.getBoundingClientRect();
  return !!r && r.width > 40 && r.height > 60 && r.top >= 0 && r.bottom <= innerHeight + 1 && r.left >= 0 && r.right <= innerWidth + 1 ? '' : `${sel}: ${JSON.stringify(r)}`;
}, sel);

async function waysOn(browser, from, device) {
  const { context, page, phone, said, left, right, step } = await fresh(browser, device);
  await step('another way through the yard is looked at and taken with one tap; the run shows what was told; one undo', async () => {
    await bring(page, from, overLimit(), 'over.yaml');
    await left();
    const kept = await out(page);
    await page.locator('.things').getByRole('button', { name: /^run fiber 1/ }).first().click();
    const way = page.locator('.ways > li').filter({ hasText: 'another way' }).first();
    await way.waitFor({ timeout: 30000 });
    const tell = async (head) => (await way.locator('dt', { hasText: head }).first().evaluate((t) => t.nextElementSibling.textContent)).trim();
    const toldOf = { sums: await tell('bends'), length: await tell('whole run'), tension: await tell('tension'), money: await tell('the site comes to'), cost: await tell('cost') };
    want(/lbf of/.test(toldOf.tension) && /^[-+]\d/.test(toldOf.cost), `tension and cost: ${JSON.stringify(toldOf)}`);
    await way.scrollIntoViewIfNeeded();
    await page.screenshot({ path: `${shots}${device}-run-ways.png` });
    await way.getByRole('button', { name: 'look at it' }).click();
    await right();
    await page.locator('.area .over .bent').waitFor();
    await page.locator('.space .ghost').waitFor();
    await page.screenshot({ path: `${shots}${device}-run-way-seen.png` });
    await left();
    same(hash(await out(page)), hash(kept), 'looking changes nothing');
    await way.getByRole('button', { name: 'take it' }).click();
    await until(async () => (await sumsNow(page)) === toldOf.sums, 'the sums that were told');
    const tally = await page.locator('.run .tally').textContent();
    want(tally.includes(toldOf.length) && tally.includes(toldOf.tension.split(' | ')[0]), `the run shows ${tally}, told ${JSON.stringify(toldOf)}`);
    await page.evaluate(() => document.activeElement?.blur());
    await page.keyboard.press('Control+z');
    await until(async () => hash(await out(page)) === hash(kept), 'one undo brings back the same bytes');
    same(said.splice(0), [], 'on the console');
  }, 90);
  await step(phone ? 'the plan and the run from the side are seen together' : 'the plan, the run from the side and in space are seen together', async () => {
    await right();
    await page.locator('.space svg').waitFor();
    for (const sel of ['.area', '.side:not(.space) .view', ...(phone ? [] : ['.space .view'])]) same(await seen(page, sel), '', 'it is in view');
    const small = await page.evaluate(() => [...document.querySelectorAll('.corner-at')].map((b) => b.getBoundingClientRect()).filter((r) => r.width < 47.5 || r.height < 47.5).length);
    same(small, 0, 'corners under 48 px');
    await page.screenshot({ path: `${shots}${device}-run-together.png` });
    same(await axe(page), [], 'axe');
    same(said.splice(0), [], 'on the console');
  });
  await context.close();
}

// A corner is dragged on the plan: from the side and in space follow while the
// finger is down, the tally stands at it and says what costs what.
async function follows(browser, from, figures, how) {
  const { context, page, said, step } = await fresh(browser, 'desktop');
  await step('while a corner is dragged on the plan the views from the side and in space follow, and the tally passes its limit before the release', async () => {
    await bring(page, from, overLimit(), 'over.yaml');
    const kept = await out(page);
    await page.locator('.things').getByRole('button', { name: /^run fiber 1/ }).first().click();
    await page.locator('.space svg .pipe').waitFor();
    await button(page, 'the whole').or(button(page, 'whole')).first().click().catch(() => {});
    const handle = page.locator('.area .corner-at').nth(2);
    await handle.waitFor();
    const b = await handle.boundingBox();
    const [x, y] = [b.x + b.width / 2, b.y + b.height / 2];
    const pts = (sel) => page.evaluate((sel) => document.querySelector(sel)?.getAttribute('points') ?? '', sel);
    const still = [await pts('.space .pipe'), await pts('.side:not(.space) .pipe')];
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + 6, y - 2);
    await page.mouse.move(x + 8, y - 4);
    await until(async () => (await pts('.space .ghost')) !== '' && (await pts('.space .ghost')) !== still[0], 'in space it follows');
    await until(async () => (await pts('.side:not(.space) .ghost')) !== '' && (await pts('.side:not(.space) .ghost')) !== still[1], 'from the side it follows');
    await until(async () => /[\d.]+ of 180 \| 360/.test(await page.locator('.area .over text').allTextContents().then((t) => t.join(' '))), 'the tally at the cursor');
    await until(async () => /over the owner's 180: .*costs .*passes the owner's 180 at/.test(await page.locator('.costs').textContent().catch(() => '')), 'which bend costs what');
    await page.screenshot({ path: `${shots}desktop-run-follows.png` });
    // How long a view takes to follow one move.
    const n = how.long ? 80 : 12;
    await page.evaluate(() => {
      window.moves = [];
      let from = 0;
      addEventListener('pointermove', () => (from = performance.now()), true);
      new MutationObserver(() => {
        if (from) requestAnimationFrame(() => (window.moves.push(performance.now() - from), (from = 0)));
      }).observe(document.querySelector('.space'), { attributes: true, childList: true, subtree: true });
    });
    for (let i = 0; i < n; i++) {
      const had = await page.evaluate(() => window.moves.length);
      await page.mouse.move(x + 8 + (i % 2 ? 40 : 0) + i % 5, y - 4 - (i % 7)); // farther than a place catches
      await until(async () => (await page.evaluate(() => window.moves.length)) > had, `move ${i} is followed`, 3000).catch(() => {});
    }
    const ms = (await page.evaluate(() => window.moves)).sort((a, b) => a - b);
    want(ms.length > n / 2, `${ms.length} of ${n} moves were followed`);
    const at = (q) => Math.round(ms[Math.min(ms.length - 1, Math.floor(q * ms.length))] * 10) / 10;
    figures.runMove = { moves: ms.length, median: at(0.5), p95: at(0.95) };
    if (how.long) want(at(0.5) < 100 * (await slower(page)).factor, `a move is followed in ${at(0.5)} ms`);
    await page.keyboard.press('Escape');
    await page.mouse.up();
    same(hash(await out(page)), hash(kept), 'Escape leaves it');
    same(said.splice(0), [], 'on the console');
  }, 120);
  await context.close();
}

// The whole job by keys: draw a run, bend it, raise its end, split it, undo.
async function byKeys(browser, from) {
  const { context, page, said, step } = await fresh(browser, 'desktop');
  // to goes on by Tab until what has the focus is what is looked for.
  const to = async (f, arg, back = false) => {
    for (let i = 0; i < 240; i++) {
      if (await page.evaluate(([f, arg]) => { const e = document.activeElement; return !!e && new Function('e', 'arg', `return ${f}`)(e, arg); }, [f, arg]).catch(() => false)) return;
      await page.keyboard.press(back ? 'Shift+Tab' : 'Tab');
    }
    throw new Error(`Tab never comes to ${arg}`);
  };
  const named = (n, back) => to("e.tagName === 'BUTTON' && (e.getAttribute('aria-label') ?? e.textContent).trim() === arg", n, back);
  const like = (n, back) => to("e.tagName === 'BUTTON' && (e.getAttribute('aria-label') ?? e.textContent).replace(/\\s+/g, ' ').trim().startsWith(arg)", n, back);
  const field = async (label, text) => {
    await to("e.tagName === 'INPUT' && e.closest('label')?.firstChild.textContent.trim() === arg", label);
    await page.keyboard.press('Control+a');
    await page.keyboard.type(text);
  };
  await step('the whole job of a run is done by keys: drawn, bent, raised, split, undone, and each corner is read aloud', async () => {
    await opened(page, from);
    await page.evaluate(() => document.querySelector('.page.left').focus());
    await named('other');
    await page.keyboard.press('Enter');
    await named('run');
    await page.keyboard.press('Enter');
    for (let i = 0; i < 3; i++) {
      await named('another place', i > 0);
      await page.keyboard.press('Enter');
    }
    await page.evaluate(() => document.querySelector('.page.left').focus());
    for (const [i, e, n] of [[1, '-30 ft', '-20 ft'], [2, '-10 ft', '-20 ft'], [3, '-10 ft', '-6 ft']]) {
      await field(`place ${i}, east`, e);
      await field(`place ${i}, north`, n);
    }
    await field('rises at its end to', '3 ft');
    await named('add');
    await page.keyboard.press('Enter');
    await worked(page);
    await page.evaluate(() => document.querySelector('.page.left').focus());
    await like('run fiber 2');
    await page.keyboard.press('Enter');
    await page.locator('.run .tally').waitFor();
    same(await sumsNow(page), '180', 'two turns and a riser, 90 + 90');
    // The corner on the plan: role, name, sentence.
    await page.evaluate(() => document.querySelector('.area').focus());
    await like("corner 1, -10'-0\" east, -20'-0\" north");
    const a11y = await page.evaluate(() => ({ role: document.activeElement.tagName, as: document.activeElement.getAttribute('aria-roledescription'), name: document.activeElement.getAttribute('aria-label') }));
    same([a11y.role, a11y.as], ['BUTTON', 'corner of a run'], 'what it is');
    want(/deep of fiber 2, bend 90 left/.test(a11y.name), `its name: ${a11y.name}`);
    const inView = () => page.evaluate(() => {
      const [b, a] = [document.activeElement.getBoundingClientRect(), document.querySelector('.area').getBoundingClientRect()];
      return b.left >= a.left - 24 && b.right <= a.right + 24 && b.top >= a.top - 24 && b.bottom <= a.bottom + 24 && document.querySelector('.area').scrollTop === 0;
    });
    await until(inView, 'what has the focus is brought into view');
    const before = await out2(page);
    for (let i = 0; i < 3; i++) await page.keyboard.press('ArrowDown');
    await until(async () => /of 180 \| 360/.test(await page.locator('.at-corner').textContent().catch(() => '')), 'the tally at the corner');
    await until(async () => /corner 1, .* north, .*; bends .* of 180 \| 360/.test(await page.locator('.area [role=status]').textContent()), 'it is said');
    await page.screenshot({ path: `${shots}desktop-run-keys.png` });
    await page.keyboard.press('Escape');
    await until(async () => (await page.locator('.at-corner').count()) === 0, 'Escape leaves it');
    same(hash(await out2(page)), hash(before), 'what is left changes nothing');
    await page.evaluate(() => document.querySelector('.area').focus());
    await like('corner 1,');
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('Enter');
    await until(async () => hash(await out2(page)) !== hash(before), 'two steps are one gesture');
    const steps = await page.locator('.area').getAttribute('data-metre');
    want(Number(steps) > 0, 'the scale');
    await page.keyboard.press('Control+z');
    await until(async () => hash(await out2(page)) === hash(before), 'and one undo');
    // Typed: Enter on the corner, by north -1 ft.
    await page.evaluate(() => document.querySelector('.area').focus());
    await like('corner 1,');
    await page.keyboard.press('Enter');
    await until(() => page.evaluate(() => document.activeElement?.closest('.typed-corner') !== null), 'the focus is in the form');
    await field('by north', '-1 ft');
    await named('move it');
    await page.keyboard.press('Enter');
    await until(async () => hash(await out2(page)) !== hash(before), 'a typed length moves it');
    await page.locator('.typed-corner').waitFor({ state: 'detached' });
    await page.keyboard.press('Control+z');
    await until(async () => hash(await out2(page)) === hash(before), 'undone');
    // From the side: the end up by keys.
    await page.evaluate(() => document.querySelector('.side .row button').focus());
    await like('end,', true);
    for (let i = 0; i < 12; i++) await page.keyboard.press('ArrowUp');
    await page.keyboard.press('Enter');
    await until(async () => /4'-0" up/.test(await page.locator('.side .corner-at').last().getAttribute('aria-label')), 'twelve inches up');
    // A pull point: section, pull point, place.
    await page.evaluate(() => document.querySelector('.page.left').focus());
    await like('✓ start to end');
    await page.keyboard.press('Enter');
    await named('pull point');
    await page.keyboard.press('Enter');
    await page.locator('.spots button').first().waitFor();
    await like('middle of the');
    await page.keyboard.press('Enter');
    await until(async () => (await sumsNow(page)) === '90 | 90', 'both sums');
    await page.keyboard.press('Control+z');
    await page.keyboard.press('Control+z');
    await until(async () => hash(await out2(page)) === hash(before), 'all undone');
    same(said.splice(0), [], 'on the console');
  }, 120);
  await context.close();
}
const out2 = async (page) => {
  const focus = await page.evaluateHandle(() => document.activeElement);
  const text = await out(page);
  await focus.evaluate((e) => e?.focus?.());
  return text;
};

// The bend sheets and pull cards of every run of every example are those of
// the command, cell by cell.
async function cards(browser, from, device) {
  const { context, page, said, left, step } = await fresh(browser, device);
  for (const name of ['compound-a', 'ford-meadow', 'fiber-entry', 'fiber-entry-moved']) {
    await step(`${name}: the bend sheet and the pull cards of every run are the command's, cell by cell`, async () => {
      const file = `${root}examples/${name}.yaml`;
      await bring(page, from, readFileSync(file, 'utf8'), `${name}.yaml`);
      let text = '';
      try {
        text = execFileSync(`${root}bin/stubup`, ['work', file, '--json'], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'], maxBuffer: 1 << 26 });
      } catch (e) {
        text = e.stdout;
      }
      const tables = JSON.parse(text).tables;
      await left();
      const runs = (await page.locator('.things button', { hasText: /^run / }).allTextContents()).map((t) => /^run ([^,]+),/.exec(t)[1]);
      want(runs.length > 0, 'it has runs');
      for (const id of runs) {
        const mine = tables.filter((t) => t.title.startsWith(`Bend sheet, ${id},`) || t.title.startsWith(`Pull card: ${id},`));
        want(mine.length > 0, `the command has cards of ${id}`);
        const b = page.locator('.things').getByRole('button', { name: new RegExp(`^run ${id}`) }).first();
        if ((await b.getAttribute('aria-pressed')) !== 'true') await b.click();
        await page.locator('.run details summary', { hasText: 'Bend sheet' }).waitFor({ timeout: 60000 });
        const cardBox = page.locator('.run > details').last();
        if ((await cardBox.getAttribute('open')) === null) await cardBox.locator('summary').first().click();
        const shown = await cardBox.evaluate((d) => [...d.querySelectorAll('.table')].map((t) => ({
          title: t.querySelector('h3').textContent,
          rows: [...t.querySelectorAll('tbody tr')].map((r) => [...r.querySelectorAll('td, th')].map((c) => [...c.childNodes].filter((n) => !n.classList?.contains('mark')).map((n) => n.textContent).join('').trim())),
        })));
        same(shown.map((t) => t.title), mine.map((t) => t.title), `the cards of ${id}`);
        for (const [k, t] of mine.entries()) {
          const cell = (c) => (typeof c === 'string' ? c : c.text ?? c.t ?? '').trim();
          const rows = t.rows.map((r) => (Array.isArray(r) ? r : r.cells).map(cell));
          // A row with one filled bold cell heads a group and is one cell.
          same(shown[k].rows.map((r, i) => (r.length === 1 && rows[i].length > 1 ? r : r).join('|')), rows.map((r, i) => (shown[k].rows[i]?.length === 1 ? r.filter(Boolean) : r).join('|')), `${t.title}`);
        }
        if (name === 'ford-meadow') {
          await cardBox.scrollIntoViewIfNeeded();
          await page.screenshot({ path: `${shots}${device}-run-card-${id.replace(/ /g, '-')}.png` });
          if (id === 'power 1') await page.emulateMedia({ media: 'print' }), await page.screenshot({ path: `${shots}${device}-run-card-print.png`, fullPage: true }), await page.emulateMedia({ media: 'screen' });
        }
      }
      same(said.splice(0), [], 'on the console');
    }, 120);
  }
  await context.close();
}

export async function runsSteps(browser, from, figures, how) {
  await Promise.all(['phone', 'desktop'].map((d) => runsOn(browser, from, d)));
  await Promise.all([waysOn(browser, from, 'phone'), waysOn(browser, from, 'desktop')]);
  await Promise.all([follows(browser, from, figures, how), byKeys(browser, from)]);
  if (how.long) await cards(browser, from, 'phone');
}
