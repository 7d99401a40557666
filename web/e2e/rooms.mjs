// Suite "rooms": prove, order, work, change and handover as a person uses them.
import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { move } from './device.mjs';
import { devices, same, shots, skip, slower, step as told, until, want, watch } from './harness.mjs';
import { button, hash, opened, out, room, root, side, site, worked } from './pages.mjs';

async function on(browser, from, options, name) {
  const context = await browser.newContext({ ...options, acceptDownloads: true });
  await context.addInitScript(tools);
  const page = await context.newPage();
  const said = watch(page);
  const step = async (what, f, most) => (await told(`${name}: ${what}`, f, most)) || (await page.screenshot({ path: `${shots}fail-${name}-${what.replace(/[^a-z]+/gi, '-').slice(0, 50)}.png` }).catch(() => {}), false);
  return { context, page, step, quiet: () => same(said.splice(0), [], 'on the console') };
}

// tools stand in every page of this suite: calls to the engine can be held
// back by name, and what comes in sight is timed.
function tools() {
  const post = Worker.prototype.postMessage;
  window.hold = '';
  let kept = [];
  Worker.prototype.postMessage = function (m, ...more) {
    if (window.hold && m?.name === window.hold) kept.push([this, m, more]);
    else post.call(this, m, ...more);
  };
  window.letGo = () => {
    window.hold = '';
    for (const [w, m, more] of kept.splice(0)) post.call(w, m, ...more);
  };
  for (const e of ['click', 'change', 'hashchange']) window.addEventListener(e, () => (window.pressed = performance.now()), true);
  // seen answers with the milliseconds from the last press until what is asked
  // for is so, looked at with every frame.
  window.seen = (so, most = 30000) =>
    new Promise((done) => {
      const end = performance.now() + most;
      const look = () => {
        if (so()) done(performance.now() - window.pressed);
        else if (performance.now() > end) done(-1);
        else requestAnimationFrame(look);
      };
      look();
    });
}

// patience holds a call back, presses what asks for it, and looks: nothing is
// said of waiting for half a second, then what is waited for with its count; it
// is left within a tenth of a second.
async function patience(page, call, press, where, count, most = 1000) {
  const { factor } = await slower(page);
  await page.evaluate((c) => (window.hold = c), call);
  const late = page.evaluate((w) => window.seen(() => document.querySelector(w)), where);
  await press();
  const after = await late;
  want(after >= 480, `it is said after ${Math.round(after)} ms that it is waited for`);
  want(after < most * factor, `it is only said after ${Math.round(after)} ms that it is waited for`);
  const said = await page.locator(where).textContent();
  want(count.test(said), `what is waited for: ${said}`);
  // As soon as the page is another, whenever this machine comes to paint it.
  const gone = await page.evaluate((w) => new Promise((done) => {
    const t = performance.now();
    const look = () => document.querySelector(w) || (o.disconnect(), done(performance.now() - t));
    const o = new MutationObserver(look);
    o.observe(document.body, { subtree: true, childList: true });
    setTimeout(() => done(-1), 20000);
    document.querySelector(`${w} button`).click();
  }), where);
  want(gone >= 0 && gone < 100 * factor, `it is left after ${Math.round(gone)} ms`);
  return { late: Math.round(after), left: Math.round(gone) };
}

// wide is how far the page reaches beyond the window.
const wide = (page) => page.evaluate(() => Math.max(0, document.documentElement.scrollWidth - window.innerWidth, ...[...document.querySelectorAll('.spread, .page')].map((e) => e.scrollWidth - e.clientWidth)));

// pages of a PDF that was taken out, as text; nothing where they cannot be read here.
function pages(bytes) {
  const path = `${shots}package.pdf`;
  writeFileSync(path, bytes);
  try {
    return execFileSync('pdftotext', ['-layout', path, '-'], { encoding: 'utf8' }).replace(/\f$/, '').split('\f');
  } catch {
    return null;
  }
}

// shot is for a person to look at; the short run goes without.
const looking = process.argv.includes('--long') || !!process.env.SHOTS;
const shot = async (page, name) => looking && void (await page.screenshot({ path: `${shots}${name}.png` }));

// home goes to the list of sites; the engine goes on where it runs already.
async function home(page, from) {
  if (page.url().startsWith(from.url)) await page.evaluate(() => (location.hash = '#/'));
  else await page.goto(from.url);
  await button(page, 'open compound A').waitFor();
}

// take downloads what a button hands out.
async function take(page, name) {
  const [d] = await Promise.all([page.waitForEvent('download', { timeout: 60000 }), button(page, name).first().click()]);
  return readFileSync(await d.path(), /\.(pdf|xlsx)$/.test(name) ? null : 'utf8');
}

async function bring(page, from, text, name) {
  await home(page, from);
  await page.locator('input[type=file]').setInputFiles({ name, mimeType: 'application/yaml', buffer: Buffer.from(text) });
  await page.locator('[data-room="layout"]').waitFor();
  await worked(page);
}

// outcomes looks at every finding of the room: four outcomes by sign and word,
// the most urgent first, and none that is broken or cannot be told without its
// mend.
async function outcomes(page, least) {
  // Four outcomes by sign and word, colour apart.
  await button(page, 'all').click();
  const rows = await page.locator('.findings .finding').evaluateAll((bs) => bs.map((b) => [b.querySelector('.mark').textContent, b.querySelector('.outcome').textContent, b.querySelector('.mend')?.textContent ?? '']));
  const sign = { '✗': 'broken', '?': 'cannot tell', '✓': 'holds', '–': 'does not apply' };
  want(rows.length > least, `${rows.length} findings`);
  for (const [mark, outcome, mend] of rows) {
    want(outcome.startsWith(sign[mark]), `the sign ${mark} stands before "${outcome}"`);
    if (mark === '✗' || mark === '?') want(mend.length > 8, `no mend: ${outcome}`);
  }
  // The most urgent first.
  const order = rows.map((r) => '✗?✓–'.indexOf(r[0]));
  same(order, [...order].sort((a, b) => a - b), 'the order of urgency');
  await button(page, /^✗ \?/).click();
}

// descent takes two taps from a finding to the source of its number.
async function descent(page) {
  await page.locator('.findings .finding', { hasText: 'the most that the whole may read' }).first().click();
  await page.locator('.findings').getByRole('button', { name: 'why this number' }).first().click();
  const why = page.locator('dialog.why');
  await why.waitFor();
  const text = await why.textContent();
  want(/standing/.test(text) && /=/.test(text) && /100 ohm-m/.test(text), `why: ${text.slice(0, 300)}`);
  want(/entered|assumed|computed|derived|seen/.test(text), 'its standing');
  // And forward: what hangs on it is told, and each can be asked in turn.
  same(await why.locator('h3').textContent(), 'what hangs on this', 'the way forward');
  const uses = why.locator('.uses button');
  want((await uses.count()) + (await why.getByText('Nothing printed hangs on it.').count()) > 0, 'nothing is told of what hangs on it');
}

async function prove(step, quiet, page, from, options, name, figures) {
  await step('the verdict is one line, a number goes back to its source in two taps, and every finding says its mend', async () => {
    await opened(page, from);
    await room(page, 'prove');
    await side(page, 'figures');
    await worked(page);
    const verdict = (await page.locator('.summary p').allTextContents()).join(' ');
    want(/4\.67 ohm/.test(verdict) && /holds by 6 %/.test(verdict), `the verdict: ${verdict}`);
    await outcomes(page, 30);
    // Two taps: the finding, then why.
    await button(page, 'all').click();
    await descent(page);
    await shot(page, `${name}-why`);
    await page.locator('dialog.why').getByRole('button', { name: 'close' }).last().click();
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
    const rule = page.locator('.profiles').getByRole('checkbox', { name: /nfpa-780/ });
    await rule.waitFor();
    figures.under = await patience(page, 'under', () => rule.uncheck(), '.profiles .age', /^56 findings looked at again under these rules/);
    // What was left does not come after all, and the switches stand as the site does.
    await page.evaluate(() => window.letGo());
    same(await rule.isChecked(), true, 'the switch after it was left');
    await rule.uncheck();
    await page.locator('.turned li').first().waitFor({ timeout: 20000 });
    want(/→/.test(await page.locator('.turned').textContent()), 'what turns is told as was and would be');
    await shot(page, `${name}-profiles`);
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

  await step('without a survey one sentence says what to measure', async () => {
    await room(page, 'prove');
    await side(page, 'figures');
    await page.locator('.survey .said p').waitFor({ timeout: 30000 });
    same(await page.locator('.survey .said p').allTextContents(), ["No readings of a survey stand here. Read four pins in line at 5, 10, 20, 40 and 80 ft between pins, on two lines that cross: the widest no less than the ring's diagonal, 44.4 ft."], 'the sentence');
    same(await page.locator('.small-figure, .survey table').count(), 0, 'drawings without readings');
    quiet();
  }, 180);
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

async function survey(step, quiet, page, from, figures) {
  const name = 'desktop';
  await step('the soil survey is waited for with its count, left at once, and asked for again', async () => {
    await bring(page, from, surveyed() + fault, 'surveyed.yaml');
    figures.survey = await patience(page, 'survey', () => room(page, 'prove'), '.survey .age[role=status]', /^layers are being fitted to 10 readings/, 10000); // the rest of the room comes first
    await page.evaluate(() => window.letGo());
    want(/^It was left\./.test(await page.locator('.survey .age').textContent()), 'it is not said that it was left');
    same(await page.locator('.small-figure').count(), 0, 'what was left came after all');
    await page.locator('.survey').getByRole('button', { name: 'work it out' }).click();
    await page.locator('.small-figure svg').waitFor({ timeout: 30000 });
    quiet();
  }, 180);

  await step('the soil survey is drawn with its curve and band, and the same stands in figures', async () => {
    // The curve may not keep the first result waiting: the verdict is asked first.
    await room(page, 'order');
    await page.evaluate(() => {
      window.came = [];
      new MutationObserver(() => {
        for (const q of ['.summary p.first', '.small-figure svg']) if (document.querySelector(q) && !window.came.includes(q)) window.came.push(q);
      }).observe(document, { subtree: true, childList: true });
    });
    await room(page, 'prove');
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
    await shot(page, `${name}-survey`);
    await side(page, 'figures');
    const rows = await page.locator('.survey table').first().locator('tbody tr').allTextContents();
    same(rows.length, 10, 'rows of the twin');
    want(/set aside: read it again/.test(rows[6]) && rows.filter((r) => /set aside/.test(r)).length === 1, `the bad reading: ${rows[6]}`);
    const said = await page.locator('.survey .said').textContent();
    want(/2 layers: \d+ ohm-m down to \d\.\d ft, then \d/.test(said) && /Reading 7 at 5 ft is set aside/.test(said), said);
    want((await page.locator('#t-prove\\.survey').count()) === 0, 'the readings stand twice');
    // The same on a phone, one side after the other.
    await page.setViewportSize(devices.phone.viewport);
    await page.locator('.sides button').first().waitFor();
    await side(page, 'sketch');
    await page.locator('.small-figure').scrollIntoViewIfNeeded();
    const box = await figure.boundingBox();
    want(box.x >= 0 && box.x + box.width <= 390 && box.height > 150, `the curve on a phone: ${JSON.stringify(box)}`);
    await shot(page, `phone-survey`);
    await side(page, 'figures');
    same(await page.locator('.survey tbody tr').first().isVisible(), true, 'the twin on a phone');
    same(await wide(page), 0, 'pixels too wide for a phone');
    await page.setViewportSize(devices.desktop.viewport);
    quiet();
  }, 180);

  await step('potentials are ink lines with volts on them, hatched over the limit; other rules show what differs', async () => {
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
    await shot(page, `${name}-surface`);
    await side(page, 'figures');
    await page.locator('.profiles summary').click();
    await page.locator('.profiles').getByRole('checkbox', { name: /good-practice/ }).uncheck();
    await page.locator('.turned li').first().waitFor({ timeout: 90000 });
    want(/→/.test(await page.locator('.turned').textContent()), 'what turns is not told');
    quiet();
  }, 180);

}

async function order(step, quiet, page, figures) {
  await step('on a desk the verdict, its reasons and the sketch stand side by side', async () => {
    await page.setViewportSize(devices.desktop.viewport);
    await room(page, 'prove');
    await worked(page);
    const [said, plan] = await Promise.all(['.summary p.first', '.plan'].map((q) => page.locator(q).boundingBox()));
    want(said.x + said.width < plan.x && said.y < 300 && plan.y < 300 && plan.width > 600, `the verdict at ${JSON.stringify(said)}, the sketch at ${JSON.stringify(plan)}`);
    await button(page, 'all').click();
    await descent(page);
    await page.locator('dialog.why').getByRole('button', { name: 'close' }).last().click();
    quiet();
  }, 60);

  await step('every row of the order lights what it is for, and the count is that of its sum', async () => {
    await page.setViewportSize(devices.desktop.viewport);
    await room(page, 'order');
    await worked(page);
    // Pressed one after the other in the page itself: there are many.
    const rows = await page.evaluate(async () => {
      const out = [];
      const rest = async () => { for (let i = 0; i < 4; i++) await null; }; // the page is another by then, painted or not
      for (const b of [...document.querySelectorAll('.supplier button.cell')]) {
        b.click();
        await rest();
        out.push({ cells: [...b.closest('tr').cells].map((c) => c.textContent.trim()), lit: document.querySelectorAll('.over .glow').length, said: document.querySelector('.lit-said')?.textContent ?? '', marked: b.closest('tr').classList.contains('lit') });
        b.click();
        await rest();
      }
      return out;
    });
    let counted = 0;
    for (const { cells, lit, said, marked } of rows) {
      const told = Number(/: (\d+) on the plan/.exec(said)?.[1] ?? 0);
      want(marked && /: (Not on the plan: |\d+ (runs? )?on the plan)/.test(said), `${cells[1]} says nothing of the plan: ${said}`);
      const sum = /^(\d+) (joints?|rods|lugs|whips)\b/.exec(cells[2]);
      if (sum && told > 0) {
        // "6 rods + 19 tails" is for both; a spare or a redo is for none.
        const more = /^\d+ \w+ \+ (\d+) tails/.exec(cells[2]);
        same(told, Number(sum[1]) + Number(more?.[1] ?? 0), `${cells[1]}: points lit, of ${cells[2]}`);
        counted++;
      }
      if (told > 0) want(lit >= 1, `${cells[1]}: nothing is lit on the sketch`);
      else if (/: Not on the plan/.test(said)) same(lit, 0, `${cells[1]}: things lit of none`);
    }
    want(rows.length > 45 && counted >= 10, `only ${counted} of ${rows.length} rows could be counted`);
    figures.rows = { lit: rows.length, counted };
    await page.locator('.supplier button.cell').nth(3).click();
    await shot(page, `desktop-order-lit`);
    await page.locator('.supplier button.cell').nth(3).click();
    quiet();
  }, 180);

  await step('the sheet for the supplier is one letter page, and the cut lists come when asked', async () => {
    const sheets = async () => ((await page.pdf({ format: 'Letter' })).toString('latin1').match(/\/Type\s*\/Page[^s]/g) ?? []).length;
    same(await sheets(), 1, 'pages');
    // A quantity does not run into the size of its item, nor a reason into a price.
    const paper = pages(await page.pdf({ format: 'Letter' }));
    if (!paper) skip('the words of the printed order', 'pdftotext');
    else {
      const said = paper[0].replace(/\s+/g, ' ');
      const rows = await page.locator('.supplier tbody tr:not(.group)').evaluateAll((trs) => trs.map((tr) => [...tr.cells].map((c) => c.textContent.replace(/^\s*[✓✗?–■](?=\w)/, '').replace(/\s+/g, ' ').trim()).filter(Boolean)));
      want(rows.length > 40, `${rows.length} rows`);
      // A column ends where it likes: the first words of each part are enough.
      const missing = rows.filter(([n, item]) => !said.includes(`${n}: ${item.split(' ').slice(0, 2).join(' ')}`)).map((r) => r.slice(0, 2).join(' | '));
      same(missing, [], 'rows that are not read apart');
      want(/3 packs of 10: 45 g charge/.test(said) && /up to packs of 10 · no price/.test(said), 'the charges on paper');
    }
    await page.getByLabel('print the cut lists too').check();
    want((await sheets()) > 1, 'the cut lists are not printed');
    await page.getByLabel('print the cut lists too').uncheck();
    quiet();
  });

}

async function prices(step, quiet, page, from, figures) {
  await step('twenty prices are typed by the keyboard alone, the total follows, and what has no price says so', async () => {
    await page.setViewportSize(devices.desktop.viewport);
    await home(page, from);
    await button(page, 'begin from a small one').click();
    await page.locator('[data-room="layout"]').waitFor();
    await worked(page);
    await room(page, 'prove');
    await worked(page);
    await outcomes(page, 20);
    await room(page, 'order');
    await worked(page);
    const rows = await page.locator('.prices input').count();
    want(rows > 40, `only ${rows} rows`);
    let pressed = 0;
    const press = (k) => (pressed++, page.keyboard.press(k));
    const typed = (n) => ((n + 1) * 1.25).toFixed(2);
    await page.locator('.prices summary').focus();
    await press('Enter');
    await press('Tab');
    const total = page.locator('.prices .total');
    const before = await total.textContent();
    want(/^no sum: no row has a price/.test(before), `before a price: ${before}`);
    same(await page.locator('.prices li .sum').evaluateAll((ss) => ss.filter((s) => !/^(no price|cannot tell)$/.test(s.textContent)).length), 0, 'rows that say something else before');
    const untold = await page.locator('.prices li .sum', { hasText: 'cannot tell' }).count();
    const left = rows - untold - 20;
    for (let i = 0; i < 20; i++) {
      same(await page.evaluate(() => [...document.querySelectorAll('.prices input')].indexOf(document.activeElement)), i, 'the field that is written in');
      await page.keyboard.type(typed(i));
      await press('Enter');
      // It stands in the total before the next is thought of.
      if (i === 0) await until(async () => /^[\d,.]+ for 1 row;/.test(await total.textContent()), 'the total after one price', 30000);
    }
    want(pressed <= 25, `${pressed} keys that are not numbers`);
    // However far down the list is written in, the total stays in sight.
    const at = await total.boundingBox();
    want(at.y >= 55 && at.y < 140 && (await page.locator('.left').evaluate((e) => e.scrollTop)) > 300, `the total lies at ${at.y}`);
    await until(async () => new RegExp(`^[\\d,.]+ for 20 rows; ${left} rows have no price`).test(await total.textContent()), `the total of twenty: ${await total.textContent()}`, 60000);
    figures.prices = { rows: 20, keys: pressed };
    await shot(page, `desktop-prices`);
    // The file says the same: quantity times price, and their sum.
    const [head, ...lines] = (await take(page, 'order.csv')).trim().split('\r\n').map((l) => [...l.matchAll(/("(?:[^"]|"")*"|[^,]*)(?:,|$)/g)].map((m) => m[1].replace(/^"|"$/g, '').replaceAll('""', '"')));
    const col = (l, h) => l[head.indexOf(h)];
    const num = (t) => Number(t.replaceAll(',', ''));
    let sum = 0;
    lines.slice(0, 20).forEach((l, i) => {
      same(num(col(l, 'price')), num(typed(i)), `the price of ${col(l, 'item')}`);
      const by = col(l, 'per') === 'pack' ? num(col(l, 'packs')) : num(col(l, 'quantity'));
      want(Math.abs(num(col(l, 'amount')) - by * num(typed(i))) < 0.0051, `${col(l, 'item')}: ${by} at ${typed(i)} is ${col(l, 'amount')}`);
      sum += num(col(l, 'amount'));
    });
    for (const l of lines.slice(20)) want(/^(no price|cannot tell)$/.test(col(l, 'price')) && col(l, 'amount') === '', `${col(l, 'item')}: price "${col(l, 'price')}", amount "${col(l, 'amount')}"`);
    want(Math.abs(num(/^[\d,.]+/.exec(await total.textContent())[0]) - sum) < 0.0051, `the total ${await total.textContent()}, of rows that come to ${sum}`);
    // No price is 0, and an emptied field is no price.
    const first = page.locator('.prices input').first();
    for (const wrong of ['0', 'NaN', 'much', '-3']) {
      await first.fill(wrong);
      await first.press('Enter');
      await until(async () => (await first.getAttribute('aria-invalid')) === 'true', `${wrong} is taken for a price`);
      want((await page.getByRole('alert').textContent()).length > 20, `nothing is said of ${wrong}`);
    }
    await first.fill('');
    await first.press('Enter');
    await until(async () => new RegExp(`for 19 rows; ${left + 1} rows have no price`).test(await total.textContent()), 'a price is taken out', 30000);
    same(await page.locator('.prices li .sum').first().textContent(), 'no price', 'a row whose price was taken out');
    quiet();
  }, 240);

}

async function formula(step, quiet, page, from) {
  await step('a name that begins as a formula is only a name in the file for the supplier', async () => {
    const bad = '=HYPERLINK("x")';
    const whole = readFileSync(`${root}examples/fiber-entry.yaml`, 'utf8');
    const text = whole.replace('cable: fiber, 48 strand', `cable: '${bad}'`);
    want(text !== whole, 'the cable of the example is written otherwise');
    await bring(page, from, text, 'formula.yaml');
    await room(page, 'order');
    await worked(page);
    const csv = await take(page, 'order.csv');
    want(csv.includes('HYPERLINK'), 'the cable is not in the file');
    want(!/(^|[,\n"])\s*[=+@-]HYPERLINK/m.test(csv.replaceAll("'=", '')) && !/(^|,)"?=/m.test(csv), `a formula stands in the file: ${/.*HYPERLINK.*/.exec(csv)?.[0]}`);
    quiet();
  });
}

async function change(step, quiet, page, from) {
  await step('a move of the client: what it did on one page, old and new in the same place, words ready to send', async () => {
    await bring(page, from, readFileSync(`${root}examples/fiber-entry-moved.yaml`, 'utf8'), 'moved.yaml');
    await room(page, 'prove');
    await worked(page);
    await outcomes(page, 20);
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
    await shot(page, `desktop-change-old`);
    same(await boxes(), before, 'the places after switching');
    await button(page, 'as it is now').click();
    same(await boxes(), before, 'the places after switching back');
    // A thousandth of the view is less than a line of pixels.
    want((await page.evaluate(() => window.moved)) < 0.001, 'switching shifts the page');
    await shot(page, `desktop-change-new`);
    // The words may be changed; the numbers stand beside them and cannot.
    const words = page.locator('textarea');
    want(/\d\d:\d\d/.test(await words.inputValue()), 'the notice does not say at what hour the work stood');
    const told = await words.inputValue();
    await words.fill('Our words.');
    same(await words.inputValue(), told, 'a figure of the notice can be taken out');
    await words.fill(`${told}\nOur words.`);
    want(/Our words/.test(await words.inputValue()), 'the words cannot be changed');
    want((await page.locator('.tables input, .tables textarea').count()) === 0, 'a number can be typed over');
    // Struck and new stand beside each other, and the struck stays where it was.
    const struck = () => page.locator('[data-struck="fiber 1"]').getAttribute('points');
    const line = await struck();
    want(line.split(' ').length > 40 && (await page.locator('[data-new="fiber 1"]').count()) === 1, 'the run that went another way is not marked');
    await button(page, 'as it was').click();
    same(await struck(), line, 'the struck line after switching');
    same(await page.locator('[data-new]').count(), 0, 'new lines on the old sketch');
    await button(page, 'as it is now').click();
    const pdf = (await page.pdf({ format: 'Letter' })).toString('latin1');
    want((pdf.match(/\/Type\s*\/Page[^s]/g) ?? []).length === 1, 'more than a page');
    quiet();
  }, 180);

  await step('the notice: words are edited, every figure is locked, and it is taken out and printed as it stands', async () => {
    const words = page.locator('textarea');
    await button(page, 'the words as they were').click();
    const told = await words.inputValue();
    want(/State of the work as of \d{4}-\d\d-\d\d \d\d:\d\d:/.test(told), `the hour of the notice: ${told.slice(0, 200)}`);
    want(/70\.0 ft laid/.test(told) && /\+27\.7 ft/.test(told), 'the feet of the notice');
    // Each figure taken out by itself comes back, with the one that stays said.
    const figures = [...told.matchAll(/[A-Z]?\d+(?:[.,:/'-]+\d+)*/g)];
    want(figures.length > 20, `${figures.length} figures`);
    for (const m of [figures[0], figures[7], figures[figures.length - 1]]) {
      await words.evaluate((t, [from, to]) => (t.focus(), t.setSelectionRange(from, to)), [m.index, m.index + m[0].length]);
      await page.keyboard.press('Delete');
      same(await words.inputValue(), told, `${m[0]} can be taken out`);
      want((await page.locator('.notice [role=status]').textContent()).includes(`${m[0]} stays`), `it is not said that ${m[0]} stays`);
    }
    // Words between them are the person's.
    await words.evaluate((t) => (t.focus(), t.setSelectionRange(t.value.length, t.value.length)));
    await page.keyboard.type('\nOur gate stays open until 1700.');
    await words.fill((await words.inputValue()).replace('Asked for by: ____________', 'Asked for by: the client'));
    const mine = await words.inputValue();
    want(mine.includes('by: the client') && mine.endsWith('until 1700.'), 'the words cannot be edited');
    same(await take(page, 'take out the notice'), `${mine}\n`, 'what is taken out');
    // Printed: the words alone, as they were edited.
    const printed = await page.evaluate(async () => {
      const seen = (q) => [...document.querySelectorAll(q)].filter((e) => getComputedStyle(e).display !== 'none');
      const was = window.print;
      let got = null;
      window.print = () => (got = { how: document.documentElement.dataset.printing, words: seen('.on-paper p').map((p) => p.textContent) });
      [...document.querySelectorAll('button')].find((b) => b.textContent.trim() === 'print the notice' && b.closest('.notice')).click();
      await new Promise((done) => setTimeout(done, 100));
      window.print = was;
      return got;
    });
    same(printed.how, 'notice', 'what is printed');
    await page.evaluate(() => (document.documentElement.dataset.printing = 'notice'));
    const paper = pages(await page.pdf({ format: 'Letter' }));
    await page.evaluate(() => delete document.documentElement.dataset.printing);
    if (!paper) skip('the printed notice', 'pdftotext');
    else {
      same(paper.length, 1, 'pages of the notice');
      for (const l of ['Asked for by: the client', 'until 1700.', '70.0 ft laid']) want(paper[0].includes(l), `the printed notice does not say "${l}": ${paper[0].slice(0, 400)}`);
      want(!/Quantities and money|Take out/.test(paper[0]), 'more than the notice is printed');
    }
    // They stay in another room and after the page is loaded again, with the hour
    // of the notice as it stands then, and go back when asked.
    await room(page, 'order');
    await room(page, 'change');
    same(await words.inputValue(), mine, 'the words after another room');
    const hours = (s) => s.replace(/\d{4}-\d\d-\d\d \d\d:\d\d/g, 'HOUR');
    await page.reload();
    await until(async () => /compared with fiber-entry\.yaml/.test(await page.locator('.page.left').textContent()), 'compared with the same again', 30000);
    await until(async () => /until 1700\.$/.test(await words.inputValue()), 'the words after the page was loaded again');
    same(hours(await words.inputValue()), hours(mine), 'the words after the page was loaded again');
    await button(page, 'the words as they were').click();
    same(hours(await words.inputValue()), hours(told), 'the words as they were');
    quiet();
  }, 180);

  await step('on a phone: one side at a time, nothing too wide, old and new without a jump', async () => {
    await page.setViewportSize(devices.phone.viewport);
    await page.locator('.sides button').first().waitFor();
    await side(page, 'figures');
    same(await wide(page), 0, 'pixels too wide');
    want(/points: 1 added/.test(await page.locator('.summary p.first').textContent()), 'what it did is not said first');
    for (const q of ['.notice textarea', '.tables table']) same(await page.locator(q).first().isVisible(), true, `${q} on a phone`);
    await shot(page, `phone-change`);
    await side(page, 'sketch');
    same(await page.locator('.notice').isVisible(), false, 'the figures beside the sketch');
    const place = () => page.locator('.plan').evaluate((e) => JSON.stringify(e.getBoundingClientRect()));
    const was = await place();
    await button(page, 'as it was').click();
    same(await place(), was, 'the sketch after switching');
    await shot(page, `phone-change-old`);
    await button(page, 'as it is now').click();
    const b = await page.locator('.act button').boundingBox();
    want(b.y + b.height <= 844 && b.y > 844 * 0.6 && b.height >= 64, `what is pressed most: ${JSON.stringify(b)}`);
    await page.setViewportSize(devices.desktop.viewport);
    quiet();
  }, 120);

  await step('after the page was loaded again it is compared with what the site was before, and with any state on the way', async () => {
    await room(page, 'layout');
    await worked(page);
    const notes = () => page.locator('.kept').textContent();
    await page.locator('.things').getByRole('button', { name: /^hh 1|^hh-1|handhole/ }).first().click();
    for (const by of ['1 ft', '2 ft']) {
      const was = await out(page);
      await move(page, by);
      await until(async () => (await out(page)) !== was, 'the rod is moved', 30000);
      await worked(page);
    }
    want(/not sent|on this device/.test(await notes()), await notes());
    await page.reload();
    await room(page, 'change');
    await until(() => button(page, 'before the last changes here').isEnabled(), 'the site is open again', 30000);
    const lines = () => page.locator('.summary').textContent();
    await button(page, 'before the last changes here').click();
    await until(async () => /hh 1: moved 3'-0" east/.test(await lines()), 'what the moves did', 30000);
    const select = page.getByLabel('an earlier state');
    const options = await select.locator('option').allTextContents();
    want(options.length >= 3 && /^\d\d:\d\d, after: move /.test(options[1]), `the states: ${options.join(' | ')}`);
    await select.selectOption({ index: 1 });
    await until(async () => (await page.locator('.page.left').textContent()).includes(`compared with ${options[1]}`) && /hh 1: moved 2'-0" east/.test(await lines()), 'what the last move did', 30000);
    quiet();
  }, 120);
}

// work, handover and order on a phone, in the page in which it was proven.
async function carried(step, quiet, page, figures) {
  await step('the order fits a phone: a row says what it is for, the sketch shows it, and back is the same place', async () => {
    await room(page, 'order');
    await side(page, 'figures');
    await worked(page);
    same(await wide(page), 0, 'pixels too wide');
    const rods = page.locator('.supplier tr', { hasText: 'rod 5/8 in' }).first().locator('button.cell');
    await rods.click();
    want(/rod 5\/8 in x 8'-0": 6 on the plan/.test(await page.locator('.tables > .note').first().textContent()), 'the row does not say what it is for');
    const at = await page.locator('.spread').evaluate((e) => e.scrollTop);
    want(at > 300, 'the row is at the top');
    await side(page, 'sketch');
    same(await page.locator('.over .glow').count(), 6, 'rods lit');
    await shot(page, `phone-order-lit`);
    await side(page, 'figures');
    same(await page.locator('.spread').evaluate((e) => e.scrollTop), at, 'how far it is scrolled');
    await rods.click();
    await page.locator('.prices summary').click();
    same(await wide(page), 0, 'pixels too wide with the prices');
    for (const b of await page.locator('.prices input').evaluateAll((fs) => fs.slice(0, 8).map((f) => [f.clientHeight, f.scrollWidth - f.clientWidth, f.placeholder]))) want(b[0] >= 40 && b[1] <= 0 && /^(each|per \w+)$/.test(b[2]), `a price field: ${b}`);
    await page.locator('.prices summary').click();
    quiet();
  }, 120);

  await step('every weld and rod has the place of its entry, which says what it will ask and that it comes with the log', async () => {
    await room(page, 'work');
    await side(page, 'figures');
    await worked(page);
    want(/^44 joints to fire with 7 kinds of mold, 6 rods to drive/.test(await page.locator('.summary p.first').textContent()), 'the day in one line');
    same(await page.locator('.hold li').count(), 7, 'what comes first');
    const rows = await page.evaluate(async () => {
      const out = [];
      for (const id of ['work.welds', 'work.rods'])
        for (const b of [...document.getElementById(`t-${id}`).closest('.table').querySelectorAll('button.cell')]) {
          b.click();
          for (let i = 0; i < 4; i++) await null;
          const e = [...document.querySelectorAll('.entry')];
          out.push({ of: id, id: b.textContent.trim(), n: e.length, under: e[0]?.closest('tr') === b.closest('tr').nextElementSibling, said: e[0]?.textContent.replace(/\s+/g, ' ').trim() ?? '', lit: document.querySelectorAll('.over .glow').length, inputs: e[0]?.querySelectorAll('input, select, textarea').length });
          b.click();
        }
      return out;
    });
    same([rows.filter((r) => r.of === 'work.welds').length, rows.filter((r) => r.of === 'work.rods').length], [44, 6], 'rows with a place');
    for (const r of rows) {
      want(r.n === 1 && r.under && r.inputs === 0, `${r.id}: ${r.n} places, under its row ${r.under}`);
      want(r.said.startsWith(`${r.id}: no entry yet. Its entry is written in this place once the log is in this book;`), `${r.id}: ${r.said}`);
      const asks = r.of === 'work.rods' ? ['Rods: type; length driven', 'depth of top by tape', 'photo'] : ['Welds, before the shot: conductor lot', 'dried and cleaned', 'Welds, after the shot: fired', 'tap check'];
      for (const a of asks) want(r.said.includes(a), `the entry of ${r.id} does not ask "${a}": ${r.said}`);
      // What the layout says already is not asked again.
      want(!/[:;] (joint|rod|kind|ties|place|length);/.test(r.said), `${r.id} is asked what the layout says: ${r.said}`);
    }
    figures.places = rows.length;
    const third = page.locator('#t-work\\.welds').locator('xpath=..').locator('button.cell').nth(20);
    await third.click();
    const id = await third.textContent();
    await button(page, `${id} on the plan`).scrollIntoViewIfNeeded();
    const at = await page.locator('.spread').evaluate((e) => e.scrollTop);
    await shot(page, `phone-work-entry`);
    same(await wide(page), 0, 'pixels too wide');
    await button(page, `${id} on the plan`).click();
    await page.locator('.plan .over .glow').waitFor();
    // In the middle of the sketch, from near.
    const [glow, area] = await Promise.all(['.plan .over .glow', '.plan .area'].map((q) => page.locator(q).boundingBox()));
    want(Math.abs(glow.x + glow.width / 2 - area.x - area.width / 2) < 3 && Math.abs(glow.y + glow.height / 2 - area.y - area.height / 2) < 3, 'the joint does not lie in the middle');
    same(await page.locator('.plan .over .glow').count(), 1, 'joints lit');
    await shot(page, `phone-work-lit`);
    await side(page, 'figures');
    same(await page.locator('.spread').evaluate((e) => e.scrollTop), at, 'how far the list is scrolled');
    await third.click();
    same(await page.locator('.entry').count(), 0, 'places after the row was pressed again');
    quiet();
  }, 120);

  await step('the day is taken out as files and printed; the registers stand ready, blank', async () => {
    await page.locator('.files summary').click();
    const welds = await take(page, 'work.welds.csv');
    same(welds.split('\r\n').filter((l) => /^\d+,J\d+,/.test(l)).length, 44, 'joints of the weld list');
    
    const register = await take(page, 'work.register.weld-before.csv');
    want(/J1/.test(register) && /ends in the mold \(photo\)/.test(register), 'the register of welds');
    await page.locator('.register summary').first().click();
    want((await page.locator('.register').first().locator('tbody tr').count()) >= 44, 'rows of the first register');
    const paper = pages(await page.pdf({ format: 'Letter' }));
    if (!paper) skip('the printed day', 'pdftotext');
    else {
      const all = paper.join('\n');
      for (const w of ['What is done today?', 'Weld list, in walking order', 'J44', 'dig ticket', 'Hot-work permit']) want(all.includes(w), `the printed day does not say "${w}"`);
      want(!all.includes('no entry yet'), 'places for entries are printed');
    }
    quiet();
  }, 120);

  await step('handover: what is missing stands first, its count is on the tab, and the package is a draft on every page', async () => {
    await room(page, 'handover');
    await worked(page);
    same(await page.locator('.summary p').allTextContents(), ['draft: 10 items are open'], 'the verdict');
    const items = await page.locator('.missing > li').evaluateAll((ls) => ls.map((l) => [l.querySelector('b').textContent, l.querySelector('.mend').textContent]));
    same(items.length, 10, 'items');
    for (const [what, to] of items) want(what.length > 5 && to.split(' ').length > 1, `${what}: ${to}`);
    want(items.some(([w]) => w === '44 welded joints without a record') && items.some(([w]) => w === 'no earth test'), 'welds and the earth test');
    // First: above all else of the room but its question and its verdict.
    const tops = await page.evaluate(() => ['.missing', '.handover-rest', '.files', '.tables'].map((q) => document.querySelector(q).getBoundingClientRect().top));
    same([...tops].sort((a, b) => a - b), tops, 'the order on the page');
    want(/comes out as a draft, said on every page: 10 items are missing\. It is final when none is\./.test(await page.locator('main').textContent()), 'that it is no final package is not said');
    want(!/^(final|make it final)$/m.test((await page.locator('main button').allTextContents()).join('\n')), 'it can be called final');
    same(await page.locator('.margin .tab', { hasText: 'handover' }).locator('small').textContent(), '10 open', 'the count on the tab');
    same(await wide(page), 0, 'pixels too wide');
    await shot(page, `phone-handover`);
    // The list on paper has the word too.
    const list = pages(await page.pdf({ format: 'Letter' }));
    if (list) for (const [i, p] of list.entries()) want(/draft/.test(p), `page ${i + 1} of the printed list does not say draft`);
    const bytes = await take(page, 'handover.pdf');
    const paper = pages(bytes);
    want(bytes.subarray(0, 5).toString() === '%PDF-' && bytes.length > 50000, `a package of ${bytes.length} bytes`);
    if (!paper) return skip('draft on every page', 'pdftotext');
    want(paper.length >= 36, `${paper.length} pages`);
    for (const [i, p] of paper.entries()) want((p.match(/draft, not final/g) ?? []).length === 1, `page ${i + 1} does not say once that it is a draft`);
    want(/10 items are open/.test(paper[0]) && /What is missing/.test(paper[1]), 'the cover and the list behind it');
    figures.package = { pages: paper.length, bytes: bytes.length };
    quiet();
  }, 180);
}

// blank: every room of a site with nothing on it says one sentence and has one
// button, in feet and in metres, on a desk and on a phone.
async function blank(step, quiet, page, from) {
  for (const [unit, make] of [['feet', 'draw a site'], ['metres', 'draw one in metres']])
    await step(`a blank site in ${unit}: each room says one sentence and its one button does the next thing`, async () => {
      await home(page, from);
      await button(page, make).click();
      await page.locator('[data-room="layout"]').waitFor();
      for (const size of [devices.desktop.viewport, devices.phone.viewport]) {
        await page.setViewportSize(size);
        for (const r of ['prove', 'order', 'work', 'change', 'handover']) {
          await room(page, r);
          await page.locator('.blank p').waitFor();
          const at = `${r}, ${size.width} wide`;
          const said = (await page.locator('.blank p').allTextContents()).map((t) => t.trim());
          want(said.length === 1 && /^Nothing to \w+.*\.$/.test(said[0]), `${at}: ${said}`);
          same(await page.locator('.page p:visible, .page table:visible, .page svg:visible, .page details:visible').count(), 1, `${at}: things beside the sentence`);
          const seen = page.locator('main button:visible, .act button:visible, .sides button:visible');
          same(await seen.allTextContents(), [r === 'change' ? 'compare with a file' : 'draw it in the layout'], `${at}: buttons`);
          same(await wide(page), 0, `${at}: pixels too wide`);
          same((await page.locator('.margin .tab small').allTextContents()).slice(1).join(''), '', `${at}: counts of nothing`);
          if (r === 'prove' || r === 'change') await shot(page, `blank-${unit}-${size.width}-${r}`);
          if (r === 'change') {
            const [chooser] = await Promise.all([page.waitForEvent('filechooser'), seen.click()]);
            want(!!chooser, 'no file is asked for');
          } else if (r === 'order') {
            await seen.click();
            await page.locator('[data-room="layout"]').waitFor();
            await page.locator('.area').waitFor();
          }
        }
      }
      await page.setViewportSize(devices.desktop.viewport);
      quiet();
    }, 120);

  await step('a document that does not read is not called blank: what is wrong with it stands in every room', async () => {
    await home(page, from);
    await page.locator('input[type=file]').setInputFiles({ name: 'torn.yaml', mimeType: 'application/yaml', buffer: Buffer.from('format: 1\nname: Torn\nsoil:\n  layers:\n    - resistivity: 100\n') });
    await page.locator('[data-room="layout"]').waitFor();
    for (const r of ['prove', 'handover']) {
      await room(page, r);
      await page.locator('.diags').waitFor();
      same(await page.locator('.blank').count(), 0, `${r}: called blank`);
      want(/line \d/.test(await page.locator('.diags').textContent()), `${r}: where it is wrong`);
    }
    quiet();
  }, 60);
}

export async function roomsSteps(browser, from, figures) {
  const mine = (figures.rooms = {});
  const one = async (options, name, f) => {
    const { context, page, step, quiet } = await on(browser, from, options, name);
    await f(step, quiet, page);
    await context.close();
  };
  await Promise.all([
    one(devices.phone, 'phone', async (step, quiet, page) => {
      await prove(step, quiet, page, from, devices.phone, 'phone', mine);
      await carried(step, quiet, page, mine);
      await order(step, quiet, page, mine);
    }),
    one(devices.desktop, 'desktop', async (step, quiet, page) => {
      await change(step, quiet, page, from);
      await formula(step, quiet, page, from);
      await blank(step, quiet, page, from);
      await prices(step, quiet, page, from, mine);
      await survey(step, quiet, page, from, mine);
    }),
  ]);
}
