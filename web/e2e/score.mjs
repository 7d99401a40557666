// Suite "score": how many taps a job on the plan takes, where they fall, and
// what a gloved thumb would need for them. The model compares designs; it
// promises no seconds.
import { devices, same, shots, slower, step, until, want, watch } from './harness.mjs';
import { button, hash, light, opened, out, room, side, worked } from './pages.mjs';

const phone = { ...devices.phone, viewport: { width: 412, height: 839 } };

// noted notes where each finger came down and how large the thing under it is.
function noted() {
  window.taps = [];
  addEventListener('pointerdown', (e) => {
    const b = e.target.closest('button, a, summary, label, input, select, [role="button"], .reach') ?? e.target;
    const r = b.getBoundingClientRect();
    // On the open sheet what is meant is a place: a finger's own width.
    const open = r.width > innerWidth * 0.95 && r.height > 200;
    window.taps.push({ x: e.clientX, y: e.clientY, w: open ? 48 : Math.min(r.width, r.height), on: (b.getAttribute('aria-label') ?? b.textContent ?? '').trim().slice(0, 40) });
  }, true);
}

// thumb is a pointing model (time grows with the logarithm of distance over
// width) with a glove's factor and a moment of thought for each tap. The
// constants are from memory; they serve to compare.
export function thumb(taps, width = (t) => t.w) {
  let from = { x: 206, y: 700 };
  let s = 0;
  for (const t of taps) {
    const d = Math.hypot(t.x - from.x, t.y - from.y);
    s += 1.3 * (0.1 + 0.15 * Math.log2(d / width(t) + 1)) + 0.9;
    from = t;
  }
  return s;
}

export async function scoreSteps(browser, from, figures, how) {
  const context = await browser.newContext({ ...phone, acceptDownloads: true });
  await context.addInitScript(noted);
  const page = await context.newPage();
  const said = watch(page);
  const foot = async (word) => {
    const b = page.locator('.foot').getByRole('button', { name: word });
    if ((await b.getAttribute('aria-pressed')) !== 'true') await b.tap();
  };
  const thing = (name) => page.locator('.things').getByRole('button', { name }).first();
  const pick = async (name) => {
    const row = thing(name);
    if ((await row.getAttribute('aria-pressed')) !== 'true') await row.tap();
  };
  const write = () => page.locator('.write');
  const typed = async (l, text) => (await l.fill(text), await l.press('Tab'));
  await step('score: the reference compound is open on a phone', () => opened(page, from));
  let start = '';
  const document = async () => (await foot('write'), hash(await out(page)));
  const changed = (was) => until(async () => (await page.locator('.kept').textContent()) !== was, 'the change is kept', 20000);

  // Each job begins with the page of figures or the sketch in view and nothing
  // picked; "most" is what it may take in taps, "back" says that it changed the
  // document, which is then undone.
  const jobs = [
    { name: 'a rod at a typed place', most: 5, back: true, async do() {
      await write().getByRole('button', { name: 'other', exact: true }).tap();
      await write().getByRole('button', { name: 'rod', exact: true }).tap();
      await foot('write'); // the noun has opened the sketch
      await typed(page.getByLabel('place 1, east'), '10 ft');
      await typed(page.getByLabel('place 1, north'), '2 ft');
      await write().locator('form').getByRole('button', { name: 'add', exact: true }).tap();
      await until(async () => (await write().locator('form').count()) === 0, 'the rod is taken');
    } },
    { name: 'a rod is moved by a typed length', most: 3, back: true, async do() {
      await pick(/^rod R3/);
      await typed(page.locator('.mover').getByLabel('by east'), '1 ft');
      await until(() => page.locator('.mover').getByRole('button', { name: 'move it' }).isEnabled(), 'the length is read');
      await page.locator('.mover').getByRole('button', { name: 'move it' }).tap();
    } },
    { name: 'a rod is found on the sketch', most: 2, async do() {
      await pick(/^rod R3/);
      await foot('plan');
      await until(() => page.evaluate(() => !!document.querySelector('.over [data-id="R3"], .over .picked, .sketch .lit')), 'it is lit on the sketch');
    } },
    { name: 'an open run is split by a pull point', most: 3, back: true, async before() {
      await pick(/^run fiber 1/);
      await page.locator('.run .tally button').first().waitFor();
    }, async do() {
      await button(page, 'pull point').tap();
      await page.locator('.spots').getByRole('button', { name: /both hold/ }).first().tap();
      await until(async () => (await page.locator('.run .tally > li').count()) === 2, 'two sections');
    } },
    { name: 'another sweep is set in a bend', most: 3, back: true, async do() {
      await pick(/^run generator 1/);
      await page.locator('.run .steps button').first().tap();
      await page.locator('.run .spots').getByRole('button', { name: /sweep, radius 24 in/ }).first().tap();
      await until(async () => /radius 24 in/.test(await page.locator('.run .steps').textContent()), 'the fitting is there');
    } },
    { name: 'a thing is taken out', most: 3, back: true, async do() {
      await pick(/^rod R6/);
      await page.locator('.picked').getByRole('button', { name: /^remove it/ }).first().tap();
    } },
    { name: 'why the resistance is this number, from its row', most: 3, room: 'prove', before: () => button(page, 'all').tap(), async do() {
      await page.locator('.findings .finding', { hasText: 'the most that the whole may read' }).first().tap();
      await page.locator('.findings').getByRole('button', { name: 'why this number' }).first().tap();
      await page.locator('dialog.why').waitFor();
      await page.locator('dialog.why').getByRole('button', { name: 'close' }).last().tap();
    } },
    { name: 'the site under other rules', most: 2, room: 'prove', async do() {
      await page.locator('.profiles summary').tap();
      await page.locator('.profiles label', { hasText: 'nfpa-780' }).tap();
      await page.locator('.turned li').first().waitFor({ timeout: 20000 });
    }, async after() { await page.locator('.profiles label', { hasText: 'nfpa-780' }).tap(); await page.locator('.profiles summary').tap(); } },
  ];
  const lights = how.long ? ['day', 'sun', 'dusk'] : ['day'];
  const told = {};
  for (const l of lights) {
    await step(`score, ${l}: each job keeps to its taps, and a thumb needs less than with targets of 24 px`, async () => {
      await light(page, l);
      start = await document();
      for (const job of jobs) {
        await room(page, job.room ?? 'layout');
        await worked(page);
        if (job.room) await side(page, 'figures'); else await foot('write');
        const held = page.locator('.things').getByRole('button', { pressed: true });
        if (!job.room && (await held.count())) await held.first().tap(); // let go
        await job.before?.();
        await page.evaluate(() => (document.activeElement?.blur(), (window.taps = [])));
        const kept = await page.locator('.kept').textContent();
        const t = performance.now();
        try {
          await job.do();
          if (job.back) await changed(kept);
        } catch (e) {
          await page.screenshot({ path: `${shots}fail-score-${job.name.replaceAll(' ', '-')}.png` });
          throw new Error(`${job.name}: ${e.message}`, { cause: e });
        }
        const ms = Math.round(performance.now() - t);
        const taps = await page.evaluate(() => window.taps);
        const ours = thumb(taps);
        const at24 = thumb(taps, () => 24);
        if (l === 'day') told[job.name] = { taps: taps.length, ms, thumb: Math.round(ours * 10) / 10, at24: Math.round(at24 * 10) / 10 };
        want(taps.length <= job.most, `${job.name}: ${taps.length} taps, at most ${job.most}: ${taps.map((x) => x.on).join(' | ')}`);
        const small = taps.filter((x) => x.w < 47.5);
        same(small, [], `${job.name}: what was pressed is under 48 px`);
        want(ours < at24, `${job.name}: a thumb needs ${ours} s, and ${at24} s at 24 px`);
        await job.after?.();
        if (job.back) {
          await page.evaluate(() => document.activeElement?.blur());
          const was = await page.locator('.kept').textContent();
          await page.keyboard.press('Control+z');
          await changed(was);
          await worked(page); // nothing moves any more under what is pressed next
          await until(async () => (await document()) === start, `${job.name}: undo brings back the same bytes`);
        }
      }
      // A job that hangs is found; how fast a machine is, is not judged here.
      const most = 20000 * (await slower(page)).factor;
      for (const [name, f] of Object.entries(told)) want(f.ms < most, `${name} took ${f.ms} ms`);
      same(said.splice(0), [], 'on the console');
    }, 180);
  }
  figures.score = told;
  await context.close();
}
