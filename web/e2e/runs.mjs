// Suite "runs": runs drawn, bent, split and carded.
import { execFile } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { axe, devices, same, shots, skip, slower, step as told, until, want, watch } from './harness.mjs';
import { button, hash, out, root, worked } from './pages.mjs';

const at = root + 'examples/';
const basin = `${root}internal/desk/testdata/north-basin.yaml`;

// Pictures are for looking at: --shots or --long makes them.
const looking = process.argv.includes('--long') || process.argv.includes('--shots');
const look = async (page, path) => looking && page.screenshot({ path });

// scale says how many pixels of the plan are a foot.
async function scale(page) {
  return page.evaluate(() => {
    const rule = document.querySelector('.over .rule path').getAttribute('d');
    const text = document.querySelector('.over .rule text').textContent;
    const w = Number(/h([\d.]+)/.exec(rule)[1]);
    return w / (Number(/(\d+)/.exec(text)[1]) * (text.includes('ft') ? 1 : 3.28084)); // px to the foot
  });
}

// printed is what the command says of the same file, which ends with a code of
// its own where something is broken.
async function printed(args) {
  try {
    return (await promisify(execFile)(`${root}bin/stubup`, args, { encoding: 'utf8', maxBuffer: 1 << 26 })).stdout;
  } catch (e) {
    if (!e.stdout) throw e;
    return e.stdout;
  }
}

// seat is one page that goes on from step to step: what was loaded once is not
// loaded again.
async function seat(browser, from, device) {
  const context = await browser.newContext({ ...devices[device], acceptDownloads: true });
  const page = await context.newPage();
  await page.addInitScript(() => {
    const post = Worker.prototype.postMessage;
    window.runsAsked = 0; // how often the engine was asked for a run
    Worker.prototype.postMessage = function (d, ...more) {
      if (d?.name === 'run') window.runsAsked++;
      return post.call(this, d, ...more);
    };
  });
  const phone = device === 'phone';
  const press = (name) => page.locator('.foot').getByRole('button', { name }).click();
  // begin opens a site anew: the reference compound, or a text.
  const begin = async (text = '', name = 'site.yaml') => {
    if (page.url() === 'about:blank') await page.goto(from.url);
    else await page.evaluate(() => (location.hash = ''));
    if (text) await page.locator('input[type=file]').first().setInputFiles({ name, mimeType: 'application/yaml', buffer: Buffer.from(text) });
    else await button(page, 'open compound A').click();
    await page.locator('[data-room="layout"]').waitFor();
    await worked(page);
  };
  const left = async () => { if (phone) await press('write'); };
  const undos = () => page.evaluate(() => Number(/\d+/.exec([...document.querySelectorAll('.tools button')].find((b) => /^undo/.test(b.textContent.trim()))?.textContent ?? '')?.[0] ?? 0));
  return {
    context, page, phone, device, said: watch(page), begin, left, undos,
    right: async () => { if (phone) await press('plan'); },
    step: async (name, f, most) => (await told(`${device}: ${name}`, f, most)) || (await page.screenshot({ path: `${shots}fail-${device}-${name.replace(/[^a-z]+/gi, '-').slice(0, 60)}.png` }).catch(() => {}), false),
    // undone takes the last change back and compares the bytes.
    undone: async (kept, what = 'one undo brings back the same bytes') => {
      await page.evaluate(() => document.activeElement?.blur());
      const n = await undos();
      await page.keyboard.press('Control+z');
      await until(async () => (await undos()) === n - 1, 'undo');
      await left();
      await until(async () => hash(await out(page)) === hash(kept), what);
    },
    open: async (name) => {
      await left();
      const b = page.locator('.things').getByRole('button', { name }).first();
      if ((await b.getAttribute('aria-pressed')) !== 'true') await b.click();
      await page.locator('.run .tally').waitFor();
    },
  };
}

async function runsOn(seated) {
  const { context, page, phone, device, said, begin, left: figures, right: sketch, step, undone, undos, open } = seated;
  const tap = async (x, y) => (phone ? page.touchscreen.tap(x, y) : page.mouse.click(x, y));
  let kept = '';
  let ok = await step('a run is drawn, and says what its bends add up to before the finger is lifted', async () => {
    await begin();
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
    const asked = await page.evaluate(() => window.runsAsked);
    want(asked > 0 && asked < 12, `the engine was asked ${asked} times for three places`);
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
      await look(page, `${shots}${device}-run-drawn.png`);
    }
    await page.locator('.bar').getByRole('button', { name: 'add' }).click();
    await worked(page);
    await figures();
    await until(async () => (await out(page)) !== kept, 'the document has it');
    want((await out(page)).includes('from: "post #3"'), 'what was typed stands there whole');
    same(said.splice(0), [], 'on the console');
  }, 120);
  if (!ok) return;

  await step('the run that was drawn is over its limit; a pull point is three taps away and both sums are told before', async () => {
    await open(/^run fiber 2/);
    const first = page.locator('.run .tally > li').first();
    await until(async () => /270 of 180 \| 360/.test(await first.textContent()), 'the sum of three bends');
    want(/broken/.test(await first.textContent()), 'it is broken');
    want(/costs 90/.test(await first.textContent()), 'it says what costs it');
    kept = await out(page);
    await until(async () => (await page.locator('.ways > li').count()) > 0, 'ways to bring it within', 20000);
    want(/tension/.test(await page.locator('.ways').textContent()) && /no price|\d/.test(await page.locator('.ways').textContent()), 'a way says its tension and its cost');
    same(await page.locator('.run .tally + .note').textContent(), "180 is the owner's limit, 360 the code's", 'whose the limits are');
    await button(page, 'pull point').click(); // 1
    const spot = page.locator('.spots').getByRole('button', { name: /both hold/ }).first();
    await spot.waitFor();
    const sums = /(\d+; then \d+)/.exec(await spot.textContent())[1];
    await look(page, `${shots}${device}-run-pull.png`);
    await spot.click(); // 2
    await until(async () => (await page.locator('.run .tally > li').count()) === 2, 'two sections');
    const got = (await page.locator('.run .tally > li b').allTextContents()).map((t) => t.split(' ')[0]).join('; then ');
    same(got, sums, 'the sums of both sections');
    // Its inside may be typed where it is said, and from the side the corners
    // stand in their order over both sections.
    const cut = await out(page);
    const inside = page.locator('.run .steps label', { hasText: /handhole 24 x 36 x 24 in/ }).getByRole('textbox');
    same(await inside.getAttribute('placeholder'), 'another size, like 24 x 36 x 24 in', 'its inside may be typed');
    await inside.fill('30 x 48 x 36 in');
    await inside.press('Tab');
    await until(async () => /handhole 30 x 48 x 36 in/.test(await page.locator('.run .steps').textContent()), 'the inside that was typed');
    want((await out(page)).includes('size: [30 in, 48 in, 36 in]'), 'it stands in the document');
    await undone(cut);
    await sketch();
    await page.locator('.side:not(.space) .handle').first().waitFor({ state: 'attached' });
    await until(async () => (await page.locator('.side:not(.space) figcaption').textContent()).includes(`${sums.split('; then ')[0]} of 180 | 360; then ${sums.split('; then ')[1]} of 180 | 360`), 'both sums with their limits, told apart');
    const along = await page.locator('.side:not(.space) .handle').evaluateAll((all) => all.map((e) => Number(e.getAttribute('x'))));
    same(along.filter((x, k) => k > 0 && !(x >= along[k - 1])), [], `corners out of their order: ${along}`);
    await look(page, `${shots}${device}-run-cut.png`);
    await figures();
    await undone(kept, 'undo takes it out again');
    same(said.splice(0), [], 'on the console');
  });

  await step('another fitting is set in its place, with the sum that was told; the bend sheet is the engine\'s', async () => {
    await open(/^run generator 1/);
    const bend = page.locator('.run .steps button').first();
    await bend.click();
    const other = page.locator('.run .spots').getByRole('button', { name: /sweep, radius 24 in/ }).first();
    await other.waitFor();
    const told = /of 360|(\d+(?:; then \d+)*) degrees/.exec(await other.textContent())[1];
    await look(page, `${shots}${device}-run-swap.png`);
    await other.click();
    await until(async () => /radius 24 in/.test(await page.locator('.run .steps').textContent()), 'the fitting is there');
    const now = (await page.locator('.run .tally > li b').allTextContents()).map((t) => t.split(' ')[0]).join('; then ');
    same(now, told, 'the sum');
    // The same document through the command: its bend sheet has the same figures.
    const dir = mkdtempSync(join(tmpdir(), 'stubup-run-'));
    try {
      writeFileSync(join(dir, 'site.yaml'), await out(page));
      const text = await printed(['work', join(dir, 'site.yaml'), '--plain']);
      await page.locator('.run').getByRole('button', { name: 'bend sheet' }).click();
      await until(async () => {
        const cells = (await page.locator('.cards > div:not(.stale) table').first().locator('tbody td').allTextContents()).map((c) => c.trim()).filter((c) => /\d/.test(c));
        return cells.length > 4 && cells.every((c) => text.includes(c.replace(/\s+/g, ' ')));
      }, 'every figure of the bend sheet is the command\'s', 30000);
      await page.locator('.cards').getByRole('button', { name: 'close' }).click();
    } finally {
      rmSync(dir, { recursive: true });
    }
    await undone(kept);
    same(said.splice(0), [], 'on the console');
  }, 90);

  await step('a corner is moved by typed lengths, in plan and in height, and what cannot be is said', async () => {
    await open(/^run fiber 1/);
    await page.locator('.run').getByLabel('corner').selectOption('1');
    await page.locator('.run').getByLabel('by north').fill('-1 ft');
    await page.locator('.run').getByLabel('by north').press('Enter');
    await page.locator('.run form').getByRole('button', { name: 'move it' }).click();
    await until(async () => hash(await out(page)) !== hash(kept), 'the document changes');
    await until(async () => (await page.locator('.run .tally > li b').first().textContent()) !== '135 of 180 | 360', 'the sum follows the new angle');
    if (!phone) await look(page, `${shots}${device}-run-open.png`);
    await undone(kept);
    await page.locator('.run').getByLabel('corner').selectOption('1');
    await page.locator('.run').getByLabel('by east').fill('60 ft');
    await page.locator('.run').getByLabel('by east').press('Enter');
    await page.locator('.run form').getByRole('button', { name: 'move it' }).click();
    await page.getByText(/too short|turn back|would bend/).first().waitFor();
    same(hash(await out(page)), hash(kept), 'what cannot be leaves the document as it is');
    same(said.splice(0), [], 'on the console');
  });

  await step('from the side a corner moves by finger only when it is unlocked; a way that is proposed is taken; undo brings back the same bytes', async () => {
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
    await look(page, `${shots}${device}-run-side.png`);
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
    await until(async () => (await undos()) === 2, 'the corner is moved');
    want(hash(await taken()) !== hash(kept), 'the document is another');
    await undone(kept);
    const way = page.locator('.ways > li').filter({ has: page.getByRole('button', { name: 'take it' }) }).first();
    await way.waitFor();
    await way.scrollIntoViewIfNeeded();
    await look(page, `${shots}${device}-run-ways.png`);
    const told = (await way.locator('dd').first().textContent()).replaceAll(' deg', '').trim();
    await way.getByRole('button', { name: 'take it' }).click();
    await until(async () => (await page.locator('.run .tally > li b').allTextContents()).map((t) => t.split(' ')[0]).join('; then ') === told, 'the sums that were told');
    await undone(kept);
    same(said.splice(0), [], 'on the console');
  });

  await step('a run that is open is read aloud and touched without trouble; its cards fit the screen', async () => {
    await open(/^run fiber 1/);
    await page.locator('.run').getByRole('button', { name: 'pull card' }).click();
    await page.locator('.cards .lead').first().waitFor({ timeout: 60000 });
    await page.locator('.run .steps button:enabled').first().click();
    await page.locator('.run .steps .spots button').first().waitFor();
    want(/^Pull card: fiber 1/m.test((await page.locator('.cards').innerText())), 'the pull card of this run');
    want(!/generator 1/.test(await page.locator('.cards').innerText()), 'no other run\'s cards');
    same(await page.evaluate(() => [document.documentElement.scrollTop, document.body.scrollTop]), [0, 0], 'what stands round the pages is not scrolled');
    await look(page, `${shots}${device}-run-cards.png`);
    same(await page.evaluate(() => document.documentElement.scrollWidth > innerWidth), false, 'the page is no wider than the screen');
    const small = () => page.evaluate(() => [...document.querySelectorAll('.run button, .run summary, .run select, .run input, .side button, .side .reach')]
      .map((b) => [b.getBoundingClientRect(), b.textContent.trim() || b.tagName]).filter(([r]) => r.width > 0 && (r.height < 47.5 || r.width < 47.5)).map(([r, t]) => `${t}: ${Math.round(r.width)} x ${Math.round(r.height)}`));
    same(await small(), [], 'targets under 48 px');
    if (phone) same(await axe(page), [], 'axe on the left page'); // on a desktop both pages are in view
    await sketch();
    await page.locator('.side:not(.space) svg').waitFor();
    same(await small(), [], 'targets under 48 px on the sketch');
    same(await axe(page), [], phone ? 'axe on the sketch' : 'axe on both pages');
    same(said.splice(0), [], 'on the console');
  }, 90);
}

// overLimit is the fiber entry after the client moved it, drawn without a pull
// point: 45, 90 and 90 degrees against the owner's 180.
function overLimit() {
  let text = readFileSync(`${at}fiber-entry-moved.yaml`, 'utf8');
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
const sumsNow = async (page) => (await page.locator('.run .tally > li b').allTextContents()).map((t) => t.split(' ')[0]).join('; then ');
const seen = (page, sel) => page.evaluate((sel) => {
  const r = document.querySelector(sel)?.getBoundingClientRect();
  return !!r && r.width > 40 && r.height > 60 && r.top >= 0 && r.bottom <= innerHeight + 1 && r.left >= 0 && r.right <= innerWidth + 1 ? '' : `${sel}: ${JSON.stringify(r)}`;
}, sel);

async function waysOn({ page, phone, device, said, begin, left, right, step, undone }) {
  await step('another way through the yard is looked at and taken with one tap; the run shows what was told; one undo', async () => {
    await begin(overLimit());
    await left();
    const kept = await out(page);
    await page.locator('.things').getByRole('button', { name: /^run fiber 1/ }).first().click();
    const way = page.locator('.ways > li').filter({ hasText: 'another way' }).first();
    await way.waitFor({ timeout: 30000 });
    const tell = async (head) => (await way.locator('dt', { hasText: head }).first().evaluate((t) => t.nextElementSibling.textContent)).trim();
    const toldOf = { sums: await tell('bends'), length: await tell('whole run'), tension: await tell('tension'), money: await tell('the site comes to'), cost: await tell('cost') };
    want(/lbf of/.test(toldOf.tension) && /^[-+]\d/.test(toldOf.cost), `tension and cost: ${JSON.stringify(toldOf)}`);
    await way.scrollIntoViewIfNeeded();
    await look(page, `${shots}${device}-run-ways.png`);
    await way.getByRole('button', { name: 'look at it' }).click();
    await right();
    await page.locator('.area .over .bent').waitFor();
    await page.locator('.space .ghost').waitFor();
    await look(page, `${shots}${device}-run-way-seen.png`);
    await left();
    same(hash(await out(page)), hash(kept), 'looking changes nothing');
    await way.getByRole('button', { name: 'take it' }).click();
    await until(async () => (await sumsNow(page)) === toldOf.sums, 'the sums that were told');
    const tally = await page.locator('.run .tally').textContent();
    want(tally.includes(toldOf.length) && tally.includes(toldOf.tension.split('; then ')[0]), `the run shows ${tally}, told ${JSON.stringify(toldOf)}`);
    await undone(kept);
    same(said.splice(0), [], 'on the console');
  }, 90);
  await step(phone ? 'the plan and the run from the side are seen together' : 'the plan, the run from the side and in space are seen together', async () => {
    await right();
    await page.locator('.space svg').waitFor();
    for (const sel of ['.area', '.side:not(.space) .view', ...(phone ? [] : ['.space .view'])]) same(await seen(page, sel), '', 'it is in view');
    const small = await page.evaluate(() => [...document.querySelectorAll('.corner-at')].map((b) => b.getBoundingClientRect()).filter((r) => r.width < 47.5 || r.height < 47.5).length);
    same(small, 0, 'corners under 48 px');
    await look(page, `${shots}${device}-run-together.png`);
    same(await axe(page), [], 'axe');
    same(said.splice(0), [], 'on the console');
  });
}

// A corner is dragged on the plan: from the side and in space follow while the
// finger is down, the tally stands at it and says what costs what. No frame
// tells the sum of another place without striking it out.
async function follows({ page, said, step, left }, figures, how) {
  await step('while a corner is dragged on the plan the views from the side and in space follow; every frame has its own sum at the finger, or the one before it struck out; the limit is passed before the release', async () => {
    await left();
    const kept = await out(page);
    const b0 = page.locator('.things').getByRole('button', { name: /^run fiber 1/ }).first();
    if ((await b0.getAttribute('aria-pressed')) !== 'true') await b0.click();
    await page.locator('.space svg .pipe').waitFor();
    const handle = page.locator('.area .corner-at').nth(2);
    await handle.waitFor();
    const middle = async (l) => { const b = await l.boundingBox(); return [b.x + b.width / 2, b.y + b.height / 2]; };
    const area = await page.locator('.area').boundingBox();
    // At the edge of the view a corner that is pressed stays under the pointer.
    let [x, y] = await middle(handle);
    await page.mouse.move(area.x + area.width / 2, area.y + 40);
    await page.mouse.down();
    await page.mouse.move(area.x + area.width / 2 + (area.x + area.width - 14 - x), area.y + 40, { steps: 3 });
    await page.mouse.up();
    [x, y] = await middle(handle);
    want(Math.abs(x - (area.x + area.width - 14)) < 8, `the corner is brought to the edge: ${x}`);
    const zero = () => page.locator('.area').getAttribute('data-zero');
    const stood = await zero();
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x - 8, y);
    same(await zero(), stood, 'the plan while the corner is pressed');
    await page.keyboard.press('Escape');
    await page.mouse.up();
    await button(page, 'whole').first().click();
    [x, y] = await middle(handle);
    const pts = (sel) => page.evaluate((sel) => document.querySelector(sel)?.getAttribute('points') ?? '', sel);
    const still = [await pts('.space .pipe'), await pts('.side:not(.space) .pipe')];
    // What each frame shows, and the sum by the corners as they are drawn: the
    // angles between the legs of the dashed line and the quarter up at its end.
    await page.evaluate(() => {
      window.drawn = [];
      const byLegs = (text) => {
        const p = text.trim().split(' ').map((q) => q.split(',').map(Number)).filter((q, i, all) => i === 0 || Math.hypot(q[0] - all[i - 1][0], q[1] - all[i - 1][1]) > 1);
        let sum = 90;
        for (let i = 1; i + 1 < p.length; i++) {
          const [a, b] = [[p[i][0] - p[i - 1][0], p[i][1] - p[i - 1][1]], [p[i + 1][0] - p[i][0], p[i + 1][1] - p[i][1]]];
          sum += Math.abs(Math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])) * 180 / Math.PI;
        }
        return sum;
      };
      const tick = () => {
        const line = document.querySelector('.area .over polyline.ghost:not(.bent)')?.getAttribute('points');
        if (line) {
          const t = document.querySelector('.area .over text.sum');
          const f = { t: performance.now(), line, said: t?.textContent ?? '', old: !!t?.classList.contains('struck'), legs: byLegs(line) };
          window.drawn.push(f);
        }
        window.ticking = requestAnimationFrame(tick);
      };
      tick();
    });
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + 6, y - 2);
    await page.mouse.move(x + 8, y - 4);
    await until(async () => (await pts('.space .ghost')) !== '' && (await pts('.space .ghost')) !== still[0], 'in space it follows');
    await until(async () => (await pts('.side:not(.space) .ghost')) !== '' && (await pts('.side:not(.space) .ghost')) !== still[1], 'from the side it follows');
    await until(async () => /over the owner's 180: .*costs .*passes the owner's 180 at/.test(await page.locator('.costs').textContent().catch(() => '')), 'which bend costs what');
    await look(page, `${shots}desktop-run-follows.png`);
    // How long each place waits for its own sum. The bound is that of a machine
    // that does nothing else: it grows with what a frame takes here.
    const n = how.long ? 80 : 20;
    const pace = () => page.evaluate(() => new Promise((done) => {
      const at = [];
      const tick = (t) => (at.push(t) < 41 ? requestAnimationFrame(tick) : done(at.slice(1).map((v, k) => v - at[k]).sort((a, b) => a - b)[37]));
      requestAnimationFrame(tick);
    }));
    let factor = Math.max((await slower(page)).factor, (await pace()) / 17);
    const took = [];
    for (let i = 0; i < n; i++) {
      const line = await pts('.area .over polyline.ghost:not(.bent)');
      await page.mouse.move(x + 14 + (i % 2 ? 0 : 40) + 6 * (i % 5), y - 4 - 3 * (i % 7)); // farther than a place catches
      took.push(await page.evaluate(([line, wait]) => new Promise((done) => {
        const until = performance.now() + wait;
        const look = () => {
          const last = window.drawn[window.drawn.length - 1];
          if (last.line !== line && !last.old && last.said) {
            let k = window.drawn.length - 1;
            while (k > 0 && window.drawn[k - 1].line === last.line) k--;
            const first = window.drawn.slice(k).find((f) => !f.old);
            done(first.t - window.drawn[k].t);
          } else if (performance.now() > until) done(last.line === line ? null : wait); // the grid may take two to one place
          else requestAnimationFrame(look);
        };
        look();
      }), [line, 3000 * factor]));
    }
    if (how.long) factor = Math.max(factor, (await slower(page)).factor, (await pace()) / 17);
    const drawn = await page.evaluate(() => (cancelAnimationFrame(window.ticking), window.drawn));
    // The finger is off before anything is judged: what comes after begins with nothing held.
    await page.keyboard.press('Escape');
    await page.mouse.up();
    same(drawn.filter((f) => !f.said).length, 0, `of ${drawn.length} frames without a figure`);
    const sum = (f) => Number(/([\d.]+) of 180 \| 360/.exec(f.said)?.[1] ?? NaN);
    const lies = drawn.filter((f) => !f.old && !(Math.abs(sum(f) - f.legs) < 0.4)); // corners are drawn to a tenth of a pixel
    same(lies.slice(0, 3), [], `${lies.length} of ${drawn.length} frames tell the sum of another place`);
    want(new Set(drawn.map((f) => f.line)).size > 5, 'the corner moves');
    const places = took.filter((ms) => ms !== null).sort((a, b) => a - b);
    want(places.length >= 0.8 * n, `${places.length} of ${n} moves go to another place`);
    const at = (q) => Math.round(places[Math.min(places.length - 1, Math.floor(q * places.length))] * 10) / 10;
    figures.runMove = { moves: places.length, in50: places.filter((ms) => ms <= 50).length, frames: drawn.length, struck: drawn.filter((f) => f.old).length, median: at(0.5), p95: at(0.95), factor: Math.round(factor * 10) / 10 };
    want(at(1) < 2000 * factor, `a place waits ${at(1)} ms for its sum`);
    const within = places.filter((ms) => ms <= 50 * factor).length;
    if (how.long && factor > 4) skip('95 of 100 places have their sum within 50 ms', `a frame takes ${Math.round(17 * factor)} ms here; ${within} of ${places.length} within ${Math.round(50 * factor)} ms`);
    else if (how.long) want(within >= 0.95 * places.length, `${within} of ${places.length} places have their sum within ${Math.round(50 * factor)} ms`);
    // From the side, where two corners lie close the nearer one is taken.
    const side = page.locator('.side:not(.space)');
    const [low, high] = await Promise.all([3, 4].map((k) => middle(side.locator('.corner-at').nth(k))));
    want(Math.hypot(low[0] - high[0], low[1] - high[1]) < 24, 'their targets lie over each other');
    for (const [k, at, by] of [[3, low, 1], [4, high, -1]]) {
      await page.mouse.move(at[0], at[1] + by);
      await page.mouse.down();
      await until(() => page.evaluate((k) => [...document.querySelectorAll('.side:not(.space) rect.handle')].findIndex((r) => r.classList.contains('held')) === k, k), `corner ${k} is held`);
      await page.mouse.up();
    }
    same(hash(await out(page)), hash(kept), 'what is left changes nothing');
    same(said.splice(0), [], 'on the console');
  }, 120);
}

// The whole job by keys: draw a run, bend it, raise its end, split it, undo.
async function byKeys({ page, said, step }) {
  // to goes on by Tab until what has the focus is what is looked for.
  const to = async (f, arg, back = false) => {
    const there = () => page.evaluate(([f, arg]) => { const e = document.activeElement; return !!e && new Function('e', 'arg', `return ${f}`)(e, arg); }, [f, arg]);
    for (let i = 0; i < 240; i++) {
      // About how many presses it is: they are made without looking, the last
      // ones one by one.
      const far = i > 0 ? 0 : await page.evaluate(([f, arg, back]) => {
        const all = [...document.querySelectorAll('a[href], button:not(:disabled), input:not(:disabled), select:not(:disabled), textarea:not(:disabled), summary, [tabindex]')].filter((e) => e.tabIndex >= 0 && e.checkVisibility({ visibilityProperty: true }));
        if (back) all.reverse();
        const here = document.activeElement;
        const after = all.filter((e) => here.compareDocumentPosition(e) & (back ? 2 : 4));
        return after.findIndex((e) => new Function('e', 'arg', `return ${f}`)(e, arg));
      }, [f, arg, back]);
      for (let k = 0; k < far; k++) await page.keyboard.press(back ? 'Shift+Tab' : 'Tab');
      if (await there()) return;
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
    await page.evaluate(() => document.querySelector('.page.left').focus());
    await named('other');
    await page.keyboard.press('Enter');
    await named('run');
    await page.keyboard.press('Enter');
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
    // The corner on the plan: role, name, sentence. It lies out of view.
    await page.evaluate(() => document.querySelector('.area').focus());
    for (let i = 0; i < 3; i++) await page.keyboard.press('+');
    const within = (sel) => page.evaluate((sel) => {
      const [b, a] = [(sel ? document.querySelectorAll(sel)[sel.includes('corner-at') ? 1 : 0] : document.activeElement).getBoundingClientRect(), document.querySelector('.area').getBoundingClientRect()];
      return b.left >= a.left - 24 && b.right <= a.right + 24 && b.top >= a.top - 24 && b.bottom <= a.bottom + 24 && document.querySelector('.area').scrollTop === 0 && document.querySelector('.area').scrollLeft === 0;
    }, sel);
    await until(async () => (await page.locator('.area .corner-at').count()) > 1 && !(await within('.area .corner-at')), 'the corner is out of view');
    await like("corner 1, -10'-0\" east, -20'-0\" north");
    const a11y = await page.evaluate(() => ({ role: document.activeElement.tagName, as: document.activeElement.getAttribute('aria-roledescription'), name: document.activeElement.getAttribute('aria-label') }));
    same([a11y.role, a11y.as], ['BUTTON', 'corner of a run'], 'what it is');
    want(/deep of fiber 2, bend 90 left/.test(a11y.name), `its name: ${a11y.name}`);
    await until(() => within(''), 'what has the focus is brought into view');
    const before = await out2(page);
    for (let i = 0; i < 3; i++) await page.keyboard.press('ArrowDown');
    await until(async () => /of 180 \| 360/.test(await page.locator('.at-corner').textContent().catch(() => '')), 'the tally at the corner');
    await until(async () => /corner 1, .* north, .*; bends .* of 180 \| 360/.test(await page.locator('.area [role=status]').textContent()), 'it is said');
    await until(() => within('.at-corner'), 'what it is moved to stays in view with its tally');
    await look(page, `${shots}desktop-run-keys.png`);
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
    await named('pull point here');
    await page.keyboard.press('Enter');
    await page.locator('.spots button').first().waitFor();
    await like('middle of the');
    await page.keyboard.press('Enter');
    await until(async () => (await sumsNow(page)) === '90; then 90', 'both sums');
    await page.keyboard.press('Control+z');
    await page.keyboard.press('Control+z');
    await until(async () => hash(await out2(page)) === hash(before), 'all undone');
    same(said.splice(0), [], 'on the console');
  }, 120);
}
const out2 = async (page) => {
  const focus = await page.evaluateHandle(() => document.activeElement);
  const text = await out(page);
  await focus.evaluate((e) => e?.focus?.());
  return text;
};

// carded compares the bend sheet and the pull cards of a run as they stand in
// the page with those of the command, cell by cell and note by note.
async function carded({ page, open }, tables, id) {
  await open(new RegExp(`^run ${id}`));
  for (const [name, title] of [['bend sheet', `Bend sheet, ${id},`], ['pull card', `Pull card: ${id},`]]) {
    const mine = tables.filter((t) => t.title.startsWith(title));
    want(mine.length > 0, `the command has a ${name} of ${id}`);
    const b = page.locator('.run').getByRole('button', { name, exact: true });
    if ((await b.getAttribute('aria-expanded')) !== 'true') await b.click();
    await page.locator('.cards > div:not(.stale) .table h3', { hasText: title }).first().waitFor({ timeout: 60000 });
    const shown = await page.locator('.cards').evaluate((d) => [...d.querySelectorAll('.table')].map((t) => ({
      title: t.querySelector('h3').textContent,
      rows: [...t.querySelectorAll('tbody tr')].map((r) => [...r.querySelectorAll('td, th')].map((c) => [...c.childNodes].filter((n) => !n.classList?.contains('mark')).map((n) => n.textContent).join('').trim())),
      notes: [...t.querySelectorAll('p:is(.lead, .note)')].map((n) => n.textContent.trim()),
    })));
    same(shown.map((t) => t.title), mine.map((t) => t.title), `the cards of ${id}`);
    for (const [k, t] of mine.entries()) {
      const cell = (c) => (typeof c === 'string' ? c : c.text ?? c.t ?? '').trim();
      const rows = t.rows.map((r) => (Array.isArray(r) ? r : r.cells).map(cell));
      // A row with one filled bold cell heads a group and is one cell.
      same(shown[k].rows.map((r) => r.join('|')), rows.map((r, i) => (shown[k].rows[i]?.length === 1 ? r.filter(Boolean) : r).join('|')), t.title);
      if (t.notes) same(shown[k].notes, t.notes.map((n) => n.trim()), `what is said of ${t.title}`);
    }
  }
}

// The same job on runs of another kind: in metres, over a roof, through a cored
// wall. By hand, fiber 1 of the basin: 15 + 12 + 4 + 1.2 m and three quarters
// of 900 mm, 36.44 m and 270 degrees; power 1: 1.95 + 8 + 1 m and two quarters
// of 150 mm, 11.42 m and 180; control 1: 2.1 m and an offset of 30 degrees, 60.
async function twins(seated) {
  const { page, phone, device, said, begin, left, right, step, undone, open } = seated;
  const tables = printed(['work', basin, '--json']).then((t) => JSON.parse(t).tables);
  await step('in metres: a run with a bend too many is split, a fitting swapped, a way taken; each shows what was told', async () => {
    await begin(readFileSync(basin, 'utf8'), 'north-basin.yaml');
    await open(/^run fiber 1/);
    const kept = await out(page);
    const tally = page.locator('.run .tally > li');
    await until(async () => /270 of 180 \| 360 degrees, broken; 36\.44 m; 21\.9 N of 2670 N/.test(await tally.first().textContent()), 'its sum, length and pull');
    want(!/\d (ft|lbf|in)\b|\d"|\d'/.test((await page.locator('.run .steps').innerText()) + (await tally.first().innerText())), 'all of it in metres');
    await button(page, 'pull point').click(); // 1
    const spot = page.locator('.spots').getByRole('button', { name: /: \d+; then \d+, / }).first();
    await spot.waitFor();
    const sums = /: (\d+; then \d+), /.exec(await spot.textContent())[1];
    await spot.click(); // 2
    await until(async () => (await sumsNow(page)) === sums, `two sections of ${sums}`);
    await undone(kept);
    const bend = page.locator('.run .steps button:enabled').nth(1);
    await bend.click();
    const other = page.locator('.run .steps .spots button:enabled').first();
    await other.waitFor();
    const [, told, long] = /: ([\d.]+(?:; then [\d.]+)*) degrees, .*?; ([\d.]+ m)/.exec(await other.textContent());
    await other.click();
    await until(async () => (await tally.first().textContent()).includes(long) && (await sumsNow(page)) === told, `${told} degrees over ${long}`);
    await undone(kept);
    const way = page.locator('.ways > li').filter({ has: page.getByRole('button', { name: 'take it' }) }).first();
    await way.waitFor({ timeout: 30000 });
    const of = async (head) => (await way.locator('dt', { hasText: head }).first().evaluate((t) => t.nextElementSibling.textContent)).trim();
    const [bends, pulls] = [await of('bends'), await of('tension')];
    want(/ N of /.test(pulls) && !/lbf/.test(pulls), `it pulls ${pulls}`);
    await way.getByRole('button', { name: 'take it' }).click();
    await until(async () => (await sumsNow(page)) === bends, 'the sums that were told');
    const text = await page.locator('.run .tally').textContent();
    same(pulls.split('; then ').filter((p) => !text.includes(p)), [], 'pulls that were told and are not shown');
    await undone(kept);
    await carded(seated, await tables, 'fiber 1');
    same(said.splice(0), [], 'on the console');
  }, 120);
  await step('over a roof and through a cored wall, in metres: their sums, another fitting, and their cards are the command\'s', async () => {
    const kept = await out(page);
    for (const [id, sum] of [['power 1', /180 of 360 degrees, holds; 11\.42 m/], ['control 1', /60 of 360 degrees, holds; 2\.46 m/]]) {
      await open(new RegExp(`^run ${id}`));
      await until(async () => sum.test(await page.locator('.run .tally').textContent()), `the sum of ${id}`);
      await carded(seated, await tables, id);
    }
    await open(/^run power 1/);
    await page.locator('.run .steps button:enabled').first().click();
    const other = page.locator('.run .steps .spots button:enabled').first();
    await other.waitFor();
    const [, told, long] = /: ([\d.]+(?:; then [\d.]+)*) degrees, .*?; ([\d.]+ m)/.exec(await other.textContent());
    await other.click();
    await until(async () => (await page.locator('.run .tally').textContent()).includes(`; ${long}`) && (await sumsNow(page)) === told, `${told} degrees over ${long}`);
    want(/in: roof\n\s+sun: yes\n\s+clear: 100 mm/.test(await out(page)), 'what else its steps say stays');
    await undone(kept);
    await right();
    await page.locator('.side:not(.space) .pipe').waitFor();
    await page.locator('.side:not(.space)').scrollIntoViewIfNeeded();
    await look(page, `${shots}${device}-run-roof.png`);
    await left();
    same(said.splice(0), [], 'on the console');
  }, 90);
  if (phone) await step('the bend sheet and the pull card are one tap from the run: large, in the order of the marks, from where they are measured, on a narrow phone and on paper', async () => {
    for (const width of [390, 320]) {
      await page.setViewportSize({ width, height: 844 });
      await open(/^run power 1/);
      for (const name of ['pull card', 'bend sheet']) {
        const b = page.locator('.run').getByRole('button', { name, exact: true });
        if ((await b.getAttribute('aria-expanded')) === 'true') await b.click();
        await b.click(); // the one tap
        await page.locator('.cards .lead').first().waitFor();
        const looks = await page.evaluate(() => {
          const bar = document.querySelector('.foot').getBoundingClientRect().top;
          const shows = (e) => { const r = e.getBoundingClientRect(); return r.top >= 0 && r.bottom <= bar; };
          return {
            wide: document.documentElement.scrollWidth > innerWidth || [...document.querySelectorAll('.cards *')].filter((e) => !e.closest('thead, .hidden')).some((e) => e.getBoundingClientRect().right > innerWidth + 0.5),
            lead: shows(document.querySelector('.cards .lead')), first: shows(document.querySelector('.cards tbody td:not(.none)')),
            small: [...document.querySelectorAll('.cards td.bold')].map((e) => parseFloat(getComputedStyle(e).fontSize)).filter((v) => v < 19),
          };
        });
        same(looks, { wide: false, lead: true, first: true, small: [] }, `${name} at ${width}`);
        await look(page, `${shots}phone-run-${name.replace(' ', '-')}-${width}.png`);
      }
      // Where the arrow stands, by hand: 1950 + 150 + 29.54/2 - 203.2 mm; each
      // mark on a length lies farther than the one before it.
      const rows = await page.evaluate(() => [...document.querySelectorAll('.cards tbody tr')].map((r) => Object.fromEntries([...r.cells].map((c) => [c.dataset.head, c.textContent.trim()]))));
      same([rows[0].piece, rows[0].cut, rows[0]['arrow at'], rows[0]['arc from']], ['length 1', '3048 mm (whole)', '1912 mm', '1950 mm'], 'the first length');
      want(/measured on the pipe, each length from its end nearer the start, panel A/.test(await page.locator('.cards .lead').first().textContent()), 'where it is measured from');
    }
    await page.setViewportSize(devices.phone.viewport);
    const all = (await page.locator('.cards').innerText()).replace(/\s+/g, ' ');
    for (const w of [/take-up 203 mm/, /shop practice/, /The shoe in hand decides/, /the usual length, not said/]) want(w.test(all), `it says ${w}`);
    // On paper: the card alone, its marks large.
    await page.evaluate(() => { window.print = () => (window.sheet = document.documentElement.dataset.printing); });
    await page.locator('.cards').getByRole('button', { name: 'print it' }).click();
    await until(() => page.evaluate(() => window.sheet === 'cards'), 'only the card is printed');
    await page.evaluate(() => (document.documentElement.dataset.printing = 'cards'));
    await page.emulateMedia({ media: 'print' });
    const paper = await page.evaluate(() => {
      const seen = (e) => !!e && e.checkVisibility() && e.getBoundingClientRect().height > 0;
      return { card: seen(document.querySelector('.cards table')), head: seen(document.querySelector('.cards thead')), others: ['.things', '.run .tally', '.run .steps', '.page.right', '.foot', '.cards button'].filter((s) => seen(document.querySelector(s))), pt: Math.min(...[...document.querySelectorAll('.cards td.bold')].map((e) => parseFloat(getComputedStyle(e).fontSize) * 0.75)) };
    });
    same([paper.card, paper.head, paper.others], [true, true, []], 'on paper');
    want(paper.pt >= 12.9, `figures of ${paper.pt} pt`);
    await page.emulateMedia({ media: 'screen' });
    await page.evaluate(() => delete document.documentElement.dataset.printing);
    same(await axe(page), [], 'axe on the card');
    same(said.splice(0), [], 'on the console');
  }, 90);
}

// The bend sheets and pull cards of every run of every example are those of
// the command, cell by cell.
async function cards(seated) {
  const { page, device, said, begin, left, step } = seated;
  for (const name of ['compound-a', 'ford-meadow', 'fiber-entry', 'fiber-entry-moved']) {
    await step(`${name}: the bend sheet and the pull cards of every run are the command's, cell by cell`, async () => {
      const file = `${at}${name}.yaml`;
      await begin(readFileSync(file, 'utf8'), `${name}.yaml`);
      const { tables } = JSON.parse(await printed(['work', file, '--json']));
      await left();
      const runs = (await page.locator('.things button', { hasText: /^run / }).allTextContents()).map((t) => /^run ([^,]+),/.exec(t)[1]);
      want(runs.length > 0, 'it has runs');
      for (const id of runs) {
        await carded(seated, tables, id);
        if (name === 'ford-meadow') await look(page, `${shots}${device}-run-card-${id.replace(/ /g, '-')}.png`);
      }
      same(said.splice(0), [], 'on the console');
    }, 120);
  }
}

export async function runsSteps(browser, from, figures, how) {
  const [phone, desktop] = await Promise.all(['phone', 'desktop'].map((d) => seat(browser, from, d)));
  await Promise.all([
    (async () => {
      await runsOn(phone);
      await waysOn(phone);
      await twins(phone);
      if (how.long) await cards(phone);
      await phone.context.close();
    })(),
    (async () => {
      await runsOn(desktop);
      await waysOn(desktop);
      await follows(desktop, figures, how);
      await byKeys(desktop);
      if (how.long) await twins(desktop);
      await desktop.context.close();
    })(),
  ]);
}
