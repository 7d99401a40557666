// Suite "rooms": prove, order, work, change and handover as a person uses them.
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { devices, same, shots, step as told, until, want, watch } from './harness.mjs';
import { button, hash, opened, out, room, root, side, worked } from './pages.mjs';

const phoneOf = { ...devices.phone, viewport: { width: 412, height: 839 } };

async function on(browser, from, options, name) {
  const context = await browser.newContext({ ...options, acceptDownloads: true });
  const page = await context.newPage();
  const said = watch(page);
  const step = async (what, f, most) => (await told(`${name}: ${what}`, f, most)) || (await page.screenshot({ path: `${shots}fail-${name}-${what.replace(/[^a-z]+/gi, '-').slice(0, 50)}.png` }).catch(() => {}), false);
  return { context, page, step, quiet: () => same(said.splice(0), [], 'on the console') };
}

// take downloads what a button hands out.
async function take(page, name) {
  const [d] = await Promise.all([page.waitForEvent('download', { timeout: 20000 }), button(page, name).first().click()]);
  return readFileSync(await d.path(), 'utf8');
}

async function bring(page, from, text, name) {
  await page.goto(from.url);
  await page.locator('input[type=file]').setInputFiles({ name, mimeType: 'application/yaml', buffer: Buffer.from(text) });
  await page.locator('[data-room="layout"]').waitFor();
  await worked(page);
}

async function prove(browser, from, options, name) {
  const { context, page, step, quiet } = await on(browser, from, options, name);
  await step('the verdict is one line, a number goes back to its source in two taps, and every finding says its mend', async () => {
    await opened(page, from);
    await room(page, 'prove');
    await side(page, 'figures');
    await worked(page);
    const verdict = (await page.locator('.summary p').allTextContents()).join(' ');
    want(/4\.67 ohm/.test(verdict) && /holds by 6 %/.test(verdict), `the verdict: ${verdict}`);
    // Four outcomes by sign and word, colour apart.
    await button(page, 'all').click();
    const rows = await page.locator('.findings .finding').evaluateAll((bs) => bs.map((b) => [b.querySelector('.mark').textContent, b.querySelector('.outcome').textContent, b.querySelector('.mend')?.textContent ?? '']));
    const sign = { '✗': 'broken', '?': 'cannot tell', '✓': 'holds', '–': 'does not apply' };
    want(rows.length > 30, `${rows.length} findings`);
    for (const [mark, outcome, mend] of rows) {
      want(outcome.startsWith(sign[mark]), `the sign ${mark} stands before "${outcome}"`);
      if (mark === '✗' || mark === '?') want(mend.length > 8, `no mend: ${outcome}`);
    }
    // The most urgent first.
    const order = rows.map((r) => '✗?✓–'.indexOf(r[0]));
    same(order, [...order].sort((a, b) => a - b), 'the order of urgency');
    await button(page, /^✗ \?/).click();
    // Two taps: the finding, then why.
    await button(page, 'all').click();
    await page.locator('.findings .finding', { hasText: 'the most that the whole may read' }).first().click();
    await page.locator('.findings').getByRole('button', { name: 'why this number' }).first().click();
    const why = page.locator('dialog.why');
    await why.waitFor();
    const text = await why.textContent();
    want(/standing/.test(text) && /=/.test(text) && /100 ohm-m/.test(text), `why: ${text.slice(0, 300)}`);
    want(/entered|assumed|computed|derived|seen/.test(text), 'its standing');
    await page.screenshot({ path: `${shots}${name}-why.png` });
    await why.getByRole('button', { name: 'close' }).last().click();
    quiet();
  }, 180);

  await step('other rules are looked at on the spot, and written into the site only when asked', async () => {
    await room(page, 'layout');
    if (options.hasTouch) await page.locator('.foot').getByRole('button', { name: 'write' }).click();
    await worked(page);
    const kept = await out(page);
    await room(page, 'prove');
    await side(page, 'figures');
    await page.locator('.profiles summary').click();
    await page.locator('.profiles').getByRole('checkbox', { name: /nfpa-780/ }).uncheck();
    await page.locator('.turned li').first().waitFor({ timeout: 20000 });
    want(/→/.test(await page.locator('.turned').textContent()), 'what turns is told as was and would be');
    await page.screenshot({ path: `${shots}${name}-profiles.png` });
    const turned = await page.locator('.turned li').count();
    await button(page, 'write it into the site').click();
    await until(async () => (await page.locator('.turned').count()) === 0, 'it is written');
    await worked(page);
    want((await page.locator('.profiles').getByRole('checkbox', { name: /nfpa-780/ }).isChecked()) === false, 'the site stands under it still');
    await page.evaluate(() => document.activeElement?.blur());
    await page.keyboard.press('Control+z');
    await room(page, 'layout');
    if (options.hasTouch) await page.locator('.foot').getByRole('button', { name: 'write' }).click();
    await until(async () => hash(await out(page)) === hash(kept), 'undo brings back the same bytes');
    want(turned > 0, 'nothing turned');
    quiet();
  }, 180);
  await context.close();
}

// The reference compound with a survey in place of its layers: 500 over 50
// ohm-m at 1.5 m on two lines, the third reading of line B off by three.
const surveyed = () => {
  const read = [['A', '2 ft', 127], ['A', '5 ft', 38.4], ['A', '10 ft', 8.8], ['A', '20 ft', 1.65], ['A', '40 ft', 0.65], ['B', '2 ft', 122], ['B', '5 ft', 112], ['B', '10 ft', 8.4], ['B', '20 ft', 1.59], ['B', '40 ft', 0.63]];
  const whole = readFileSync(`${root}examples/compound-a.yaml`, 'utf8');
  const text = whole.replace('  layers:\n    - resistivity: 100 ohm-m\n  standing: entered\n', `  readings:\n${read.map(([l, a, r]) => `    - {line: ${l}, spacing: ${a}, ohms: ${r} ohm}\n`).join('')}`);
  want(text !== whole, 'the soil of the example is written otherwise');
  return text;
};
const fault = '\nfault:\n  earth-current: 900 A\n  duration: 0.5 s\n  body: 50 kg\n  source: stated for this test\n';

async function survey(browser, from, options, name) {
  const { context, page, step, quiet } = await on(browser, from, options, name);
  await step('the soil survey is drawn with its curve and band, and the same stands in figures', async () => {
    await bring(page, from, surveyed() + fault, 'surveyed.yaml');
    // The curve may not keep the first result waiting: the verdict is asked first.
    await page.evaluate(() => {
      window.came = [];
      new MutationObserver(() => {
        for (const q of ['.summary p.first', '.small-figure svg']) if (document.querySelector(q) && !window.came.includes(q)) window.came.push(q);
      }).observe(document, { subtree: true, childList: true });
    });
    await room(page, 'prove');
    await side(page, 'sketch');
    await page.locator('.small-figure svg').waitFor({ timeout: 30000 });
    same(await page.evaluate(() => window.came[0]), '.summary p.first', 'what comes first');
    const figure = page.locator('.small-figure svg');
    same(await figure.locator('g.layer-reading[data-id]').count(), 10, 'signs of readings');
    same(await figure.locator('g.layer-curve polyline').count(), 1, 'curves');
    same(await figure.locator('g.layer-band polyline').count(), 2, 'ends of the band');
    same(await figure.locator('g.layer-reading[data-id] .s5').count(), 2, 'strokes of the cross on the bad reading');
    const drawn = await figure.textContent();
    for (const w of ['pin spacing, ft', 'apparent resistivity, ohm-m', 'line A', 'line B', 'set aside']) want(drawn.includes(w), `the drawing does not say ${w}`);
    // No fill but paper under a sign: it is ink lines.
    same(await figure.locator('g.layer-curve [class*="f"], g.layer-band polygon[class*="f"]').count(), 0, 'fills');
    await page.locator('.small-figure').scrollIntoViewIfNeeded();
    await page.screenshot({ path: `${shots}${name}-survey.png` });
    await side(page, 'figures');
    const rows = await page.locator('.survey table').first().locator('tbody tr').allTextContents();
    same(rows.length, 10, 'rows of the twin');
    want(/set aside: read it again/.test(rows[6]) && rows.filter((r) => /set aside/.test(r)).length === 1, `the bad reading: ${rows[6]}`);
    const said = await page.locator('.survey .said').textContent();
    want(/2 layers: \d+ ohm-m down to \d\.\d ft, then \d/.test(said) && /Reading 7 at 5 ft is set aside/.test(said), said);
    want((await page.locator('#t-prove\\.survey').count()) === 0, 'the readings stand twice');
    quiet();
  }, 180);

  await step('potentials are ink lines with volts on them, hatched over the limit; other rules show what differs', async () => {
    await side(page, 'sketch');
    const sheet = page.locator('figure', { hasText: 'potential of the surface' }).locator('svg');
    await sheet.waitFor();
    const lines = await sheet.locator('g.layer-potential').evaluateAll((gs) => [...new Set(gs.map((g) => g.dataset.id))]);
    want(lines.length >= 4, `${lines.length} lines of equal potential`);
    const words = await sheet.locator('text').allTextContents();
    for (const v of lines) want(/^\d+ V$/.test(v) && words.includes(v), `the line of ${v} does not carry its volts`);
    want((await sheet.locator('g.layer-over polyline').count()) > 20, 'nothing is hatched');
    want(words.some((w) => /hatched: within reach of metal over the \d+ V/.test(w)), 'what the hatching means is not said');
    // Ink and hair lines: no stroke of another ink on lines and hatching, no fill.
    same(await sheet.locator('g.layer-potential :not(.s0), g.layer-over :not(.s0)').count(), 0, 'strokes that are not ink');
    same(await sheet.locator('g.layer-potential polygon[class*="f"]').count(), 0, 'fills');
    await sheet.scrollIntoViewIfNeeded();
    await page.screenshot({ path: `${shots}${name}-surface.png` });
    await side(page, 'figures');
    await page.locator('.profiles summary').click();
    await page.locator('.profiles').getByRole('checkbox', { name: /good-practice/ }).uncheck();
    await page.locator('.turned li').first().waitFor({ timeout: 30000 });
    want(/→/.test(await page.locator('.turned').textContent()), 'what turns is not told');
    quiet();
  }, 180);

  await step('without a survey one sentence says what to measure', async () => {
    await bring(page, from, readFileSync(`${root}examples/compound-a.yaml`, 'utf8'), 'a.yaml');
    await room(page, 'prove');
    await side(page, 'figures');
    await page.locator('.survey .said p').waitFor({ timeout: 30000 });
    same(await page.locator('.survey .said p').allTextContents(), ["No survey. Read four pins in line at 5, 10, 20, 40 and 80 ft between pins, on two lines that cross: the widest no less than the ring's diagonal, 44.4 ft."], 'the sentence');
    same(await page.locator('.small-figure, .survey table').count(), 0, 'drawings without readings');
    quiet();
  }, 180);
  await context.close();
}

async function order(browser, from, figures) {
  const { context, page, step, quiet } = await on(browser, from, devices.desktop, 'desktop');
  await step('every row of the order lights what it is for, and the count is that of its sum', async () => {
    await opened(page, from);
    await room(page, 'order');
    await worked(page);
    const n = await page.locator('.supplier button.cell').count();
    let counted = 0;
    for (let i = 0; i < n; i++) {
      const row = page.locator('.supplier tbody tr').filter({ has: page.locator('button.cell') }).nth(i);
      const cells = (await row.locator('td').allTextContents()).map((c) => c.trim());
      await row.locator('button.cell').click();
      const lit = await page.locator('.over .glow').count();
      const said = (await page.locator('.lit-said').textContent()) ?? '';
      const told = Number(/: (\d+) on the plan/.exec(said)?.[1] ?? 0);
      want(/: (Not on the plan: |\d+ (runs? )?on the plan)/.test(said), `${cells[1]} says nothing of the plan: ${said}`);
      const sum = /^(\d+) (joints?|rods|lugs|whips)\b/.exec(cells[2]);
      if (sum && told > 0) {
        // "6 rods + 19 tails" is for both; a spare or a redo is for none.
        const more = /^\d+ \w+ \+ (\d+) tails/.exec(cells[2]);
        same(told, Number(sum[1]) + Number(more?.[1] ?? 0), `${cells[1]}: points lit, of ${cells[2]}`);
        counted++;
      }
      if (told > 0) want(lit >= 1, `${cells[1]}: nothing is lit on the sketch`);
      await row.locator('button.cell').click();
    }
    want(counted >= 10, `only ${counted} rows could be counted`);
    figures.rows = { lit: n, counted };
    await page.screenshot({ path: `${shots}desktop-order-lit.png` });
    quiet();
  }, 180);

  await step('the sheet for the supplier is one letter page, and the cut lists come when asked', async () => {
    const pages = async () => {
      const pdf = await page.pdf({ format: 'Letter' });
      return (pdf.toString('latin1').match(/\/Type\s*\/Page[^s]/g) ?? []).length;
    };
    same(await pages(), 1, 'pages');
    await page.getByLabel('print the cut lists too').check();
    want((await pages()) > 1, 'the cut lists are not printed');
    await page.getByLabel('print the cut lists too').uncheck();
    quiet();
  });

  await step('a name that begins as a formula is only a name in the file for the supplier', async () => {
    const bad = '=HYPERLINK("x")';
    const text = readFileSync(`${root}examples/compound-a.yaml`, 'utf8').replace('- cable: fiber, 48 strand', `- cable: '${bad}'`);
    await bring(page, from, text, 'formula.yaml');
    await room(page, 'order');
    await worked(page);
    const csv = await take(page, 'order.csv');
    want(csv.includes('HYPERLINK'), 'the cable is not in the file');
    want(!/(^|[,\n"])\s*[=+@-]HYPERLINK/m.test(csv.replaceAll("'=", '')) && !/(^|,)"?=/m.test(csv), `a formula stands in the file: ${/.*HYPERLINK.*/.exec(csv)?.[0]}`);
    quiet();
  });
  await context.close();
}

async function change(browser, from) {
  const { context, page, step, quiet } = await on(browser, from, devices.desktop, 'desktop');
  await step('a move of the client: what it did on one page, old and new in the same place, words ready to send', async () => {
    await bring(page, from, readFileSync(`${root}examples/fiber-entry-moved.yaml`, 'utf8'), 'moved.yaml');
    await room(page, 'change');
    await page.locator('input[type=file]').setInputFiles(`${root}examples/fiber-entry.yaml`);
    await worked(page);
    const text = await page.locator('main').textContent();
    // The figures that the command prints, each with its sign.
    let command = '';
    try {
      command = execFileSync(`${root}bin/stubup`, ['change', `${root}examples/fiber-entry.yaml`, `${root}examples/fiber-entry-moved.yaml`], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] });
    } catch (e) {
      command = e.stdout;
    }
    const signed = [...new Set(command.match(/[+−-]\s?\d+(\.\d+)? ft/g) ?? [])];
    want(signed.length >= 2, `the command says no feet with a sign: ${command.slice(0, 400)}`);
    const flat = (s) => s.replace(/\s+/g, ' ');
    for (const s of signed) want(flat(text).includes(flat(s)), `the page does not say ${s}`);
    // Switching moves nothing.
    const boxes = () => page.evaluate(() => [...document.querySelectorAll('.area, .filter, .tables, .page')].map((e) => { const r = e.getBoundingClientRect(); return [r.x, r.y, r.width, r.height].map(Math.round); }));
    await page.evaluate(() => {
      window.moved = 0;
      new PerformanceObserver((l) => l.getEntries().forEach((e) => (window.moved += e.value))).observe({ type: 'layout-shift' });
    });
    const before = await boxes();
    await button(page, 'as it was').click();
    await page.screenshot({ path: `${shots}desktop-change-old.png` });
    same(await boxes(), before, 'the places after switching');
    await button(page, 'as it is now').click();
    same(await boxes(), before, 'the places after switching back');
    // A thousandth of the view is less than a line of pixels.
    want((await page.evaluate(() => window.moved)) < 0.001, 'switching shifts the page');
    await page.screenshot({ path: `${shots}desktop-change-new.png` });
    // The words may be changed; the numbers stand beside them and cannot.
    const words = page.locator('textarea');
    want(/\d\d:\d\d/.test(await words.inputValue()), 'the notice does not say at what hour the work stood');
    const told = await words.inputValue();
    await words.fill('Our words.');
    same(await words.inputValue(), told, 'a figure of the notice can be taken out');
    await words.fill(`${told}\nOur words.`);
    want(/Our words/.test(await words.inputValue()), 'the words cannot be changed');
    want((await page.locator('.tables input, .tables textarea').count()) === 0, 'a number can be typed over');
    const pdf = (await page.pdf({ format: 'Letter' })).toString('latin1');
    want((pdf.match(/\/Type\s*\/Page[^s]/g) ?? []).length === 1, 'more than a page');
    quiet();
  }, 180);

  await context.close();
}

export async function roomsSteps(browser, from, figures) {
  await Promise.all([prove(browser, from, phoneOf, 'phone'), order(browser, from, figures), change(browser, from)]);
  await Promise.all([prove(browser, from, devices.desktop, 'desktop'), survey(browser, from, phoneOf, 'phone'), survey(browser, from, devices.desktop, 'desktop')]);
}
