// Suite "trust": nothing is lost: kills, a second page, a newer build, a full or emptied
// device, a damaged book, a wrong clock.
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { browserPath, same, skip, step, until, want } from './harness.mjs';
import { keptLine, move, pidsOf, rows } from './device.mjs';
import { button, opened, out, root, worked } from './pages.mjs';
import { awaySteps, coldSteps } from './away.mjs';
import { doorsSteps } from './doors.mjs';
import { hurtSteps } from './hurt.mjs';
import { sendingSteps } from './sending.mjs';
import { keptSteps, tabsSteps } from './tabs.mjs';

const persistent = (dir) =>
  chromium.launchPersistentContext(dir, { executablePath: browserPath(), args: ['--no-sandbox', '--disable-dev-shm-usage'], viewport: { width: 1440, height: 900 }, acceptDownloads: true });

// killed ends every process of a browser at once.
async function killed(context, dir) {
  for (const p of pidsOf(dir)) {
    try {
      process.kill(p, 'SIGKILL');
    } catch {
      continue; // gone with its parent
    }
  }
  await until(() => pidsOf(dir).length === 0, 'the browser is gone');
  await context.close().catch(() => {});
}

// killSteps kill a browser with all its pages, and look at what is there after.
export async function killSteps(from, figures, how) {
  const runs = how.long ? 40 : 2; // four more come after them
  const dir = mkdtempSync(join(tmpdir(), 'stubup-kill-'));
  let context = await persistent(dir);
  let page;
  let at = '';
  // Whatever happens, what was on the disk before a kill is there after it.
  const again = async () => {
    const before = await rows(page, 'outbox');
    await killed(context, dir);
    context = await persistent(dir);
    page = await context.newPage();
    await page.goto(at);
    await page.locator('.kept').waitFor();
    same((await rows(page, 'outbox')).slice(0, before.length), before, 'the changes that were on the disk');
  };
  try {
    page = await context.newPage();
    await opened(page, from);
    at = page.url();
    await step(`trust: ${runs} kills of the browser lose nothing that was said to be kept`, async () => {
      let landed = 0;
      for (let i = 0; i < runs; i++) {
        const before = (await rows(page, 'outbox')).length;
        // The page counts what it was told is on the disk: the message to other
        // tabs goes out after the transaction is complete.
        let told = 0;
        await page.exposeFunction(`told${i}`, () => void told++);
        await page.evaluate((n) => (new BroadcastChannel('stubup').onmessage = () => window[n]()), `told${i}`);
        await move(page, '1 in');
        // Every other time it is certain that something was kept.
        if (i % 2) await until(() => told > 0, 'the change is kept');
        else await new Promise((r) => setTimeout(r, Math.random() * 400));
        const acknowledged = told;
        await again();
        await worked(page);
        const after = await rows(page, 'outbox');
        want(after.length >= before + acknowledged, `run ${i}: ${after.length} changes are here, ${before} and ${acknowledged} were kept`);
        want(after.length <= before + 1, `run ${i}: a change is there twice`);
        if (after.length > before) landed++;
        const [site] = await rows(page, 'sites');
        same(site.text === after[after.length - 1].text, true, `run ${i}: the document is that of the last change`);
        const hm = await page.evaluate((t) => new Date(t).toTimeString().slice(0, 5), site.changed);
        want(after.length === 1 || site.last === after[after.length - 1].sentence, `run ${i}: the last sentence is ${site.last}`);
        const line = `The page was cut off. All that was kept is here, up to ${hm}${site.last ? `: ${site.last}` : ''}.`;
        await until(async () => (await page.locator('.head').textContent()).includes(line), `run ${i}: it says what is here: ${line}`);
        await until(() => button(page, 'take out the site file').first().isEnabled(), 'the engine has it open', 30000);
      }
      figures.kills = { runs, landed };
    }, 60 + runs * 15);

    await step('trust: what was being typed when the browser was killed is offered back', async () => {
      const east = () => page.locator('.mover').getByLabel('by east');
      await move(page, '1 in'); // picks a rod
      await until(async () => (await rows(page, 'drafts')).length === 0, 'a change leaves nothing half written');
      await east().pressSequentially('7-1/2 in');
      await until(async () => (await rows(page, 'drafts'))[0]?.fields[0]?.value === '7-1/2 in', 'what is typed is kept');
      const text = (await rows(page, 'sites'))[0].text;
      await again();
      const line = () => page.getByText(/Half written at/);
      await line().waitFor();
      want(/^Half written at \d\d:\d\d: by east "7-1\/2 in"\. /.test((await line().textContent()).trim()), `what it says: ${await line().textContent()}`);
      await worked(page);
      same(await out(page), text, 'the document before it is taken up');
      await button(page, 'take it up').click();
      await until(async () => (await east().inputValue()) === '7-1/2 in', 'it stands where it was typed');
      same(await line().count(), 0, 'it is offered still');
      await east().press('Enter');
      await page.locator('.mover').getByRole('button', { name: 'move it' }).click();
      await until(async () => (await out(page)) !== text, 'it is gone on with');
      await until(async () => (await rows(page, 'drafts')).length === 0, 'nothing is half written any more');
    }, 90);

    await step('trust: what was being drawn when the browser was killed is offered back, and goes when it is left', async () => {
      const write = () => page.locator('.write');
      const draw = async () => {
        const other = write().getByRole('button', { name: 'other', exact: true });
        if (await other.isVisible()) await other.click();
        await write().getByRole('button', { name: 'pad', exact: true }).click();
        await page.getByLabel('name', { exact: true }).fill('rectifier');
        const add = async (i, e, n) => {
          for (const [w, v] of [['east', e], ['north', n]]) {
            await page.getByLabel(`place ${i}, ${w}`).fill(v);
            await page.getByLabel(`place ${i}, ${w}`).press('Tab');
          }
        };
        return add;
      };
      const text = (await rows(page, 'sites'))[0].text;
      const add = await draw();
      await add(1, '12 ft', '8 ft');
      const placed = async () => JSON.stringify((await rows(page, 'drafts'))[0]?.drawing?.places.map((q) => q.map((m) => Math.round(m / 0.3048))));
      await until(async () => (await placed()) === '[[12,8]]', 'what is drawn is kept');
      await again();
      const line = () => page.getByText(/Half written at/);
      await line().waitFor();
      want(/^Half written at \d\d:\d\d: pad with 1 place\. /.test((await line().textContent()).trim()), `what it says: ${await line().textContent()}`);
      await worked(page);
      await button(page, 'take it up').click();
      await until(async () => /^12\D/.test(await page.getByLabel('place 1, east').inputValue()), 'its first place is there');
      same(await page.getByLabel('name', { exact: true }).inputValue(), 'rectifier', 'what was typed of it');
      await add(2, '14 ft', '10 ft');
      await write().getByRole('button', { name: 'add', exact: true }).click();
      await until(async () => /rectifier/.test(await out(page)), 'it is gone on with');
      await until(async () => (await rows(page, 'outbox')).at(-1).text !== text && (await rows(page, 'drafts')).length === 0, 'it is kept, and nothing is half written');
      // Left, it does not come back; and a page that was closed says nothing.
      await (await draw())(1, '3 ft', '3 ft');
      await until(async () => (await rows(page, 'drafts')).length === 1, 'what is drawn is kept');
      await again();
      await line().locator('button', { hasText: 'leave it' }).click();
      await until(async () => (await rows(page, 'drafts')).length === 0, 'it is let go of');
      await page.goto('about:blank');
      await page.goto(at);
      await worked(page);
      const head = await page.locator('.head').textContent();
      want(!/cut off|Half written/.test(head), `a page that was closed is called cut off: ${head}`);
    }, 90);
  } finally {
    await context.close().catch(() => {});
    rmSync(dir, { recursive: true, force: true });
  }
}

// pageSteps are about one open page and its disk.
export async function pageSteps(browser, from) {
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, acceptDownloads: true });
  const page = await context.newPage();
  await opened(page, from);
  const first = await out(page);

  await step('trust: undo and redo in one burst never mix', async () => {
    await move(page, '1 ft');
    await until(async () => (await out(page)) !== first, 'the document changes');
    const changed = await out(page);
    await page.evaluate(() => document.activeElement?.blur());
    for (const key of ['z', 'y', 'z', 'y', 'z', 'z', 'y', 'z']) {
      await page.evaluate((key) => document.body.dispatchEvent(new KeyboardEvent('keydown', { key, ctrlKey: true, bubbles: true })), key);
    }
    await until(async () => (await out(page)) === first, 'the burst ends at the first bytes', 30000);
    await page.keyboard.press('Control+y');
    await until(async () => (await out(page)) === changed, 'redo still has the one change', 30000);
    await page.keyboard.press('Control+z');
    await until(async () => (await out(page)) === first, 'and undo takes it back', 30000);
    // The beginning, the move, seven steps of the burst (one found nothing), two more.
    await until(async () => (await rows(page, 'outbox')).length === 11, 'each step is kept', 30000);
  });

  await step('trust: what cannot be written is said, stays, and is written when it can be', async () => {
    let before = -1;
    await until(async () => {
      const n = (await rows(page, 'outbox')).length;
      await new Promise((d) => setTimeout(d, 400));
      return (before = (await rows(page, 'outbox')).length) === n;
    }, 'what was done before is written');
    await page.evaluate(() => {
      window.realPut = IDBObjectStore.prototype.put;
      IDBObjectStore.prototype.put = function (...a) {
        if (this.name === 'sites') throw new DOMException('full', 'QuotaExceededError');
        return window.realPut.apply(this, a);
      };
    });
    await move(page, '2 in');
    await until(async () => /not kept: no room on this device/.test(await keptLine(page)), 'it says that it is not kept');
    const held = await until(async () => ((await out(page)) !== first ? out(page) : ''), 'the file can be taken out with the change');
    await move(page, '2 in');
    await until(async () => (await out(page)) !== held, 'a second change');
    const both = await out(page);
    same((await rows(page, 'outbox')).length, before, 'changes on the disk while it is full');
    await page.evaluate(() => (IDBObjectStore.prototype.put = window.realPut));
    await until(async () => (await rows(page, 'outbox')).length === before + 2, 'both changes are written without another touch', 20000);
    await until(async () => /kept on this device/.test(await keptLine(page)), 'it says that it is kept');
    same((await rows(page, 'sites'))[0].text, both, 'the document on the disk');
    // Where only what goes out cannot be noted, nothing is called not kept.
    await page.evaluate(() => {
      IDBObjectStore.prototype.put = function (...a) {
        if (this.name === 'outbox') throw new DOMException('full', 'QuotaExceededError');
        return window.realPut.apply(this, a);
      };
    });
    await button(page, 'send').click();
    await page.getByText('not sent: no room on this device to note what goes out').waitFor();
    want(/kept on this device/.test(await keptLine(page)) && !/not kept/.test(await keptLine(page)), `it says "${await keptLine(page)}"`);
    await page.evaluate(() => (IDBObjectStore.prototype.put = window.realPut));
  });

  await step('trust: a missing part of the database is made anew and the sites stay', async () => {
    const text = (await rows(page, 'sites'))[0].text;
    await page.goto('about:blank');
    const bare = await context.newPage();
    await bare.goto(`${from.url}manifest.webmanifest`);
    await bare.evaluate(
      () =>
        new Promise((done, fail) => {
          const r = indexedDB.open('stubup', 50);
          r.onupgradeneeded = () => (r.result.deleteObjectStore('results'), r.result.deleteObjectStore('outbox'));
          r.onsuccess = () => (r.result.close(), done());
          r.onerror = r.onblocked = () => fail(new Error('not opened'));
        }),
    );
    await bare.close();
    await page.goto(from.url);
    await page.getByRole('heading', { level: 1 }).waitFor();
    await until(async () => (await rows(page, 'outbox').catch(() => null))?.length === 0, 'the missing part is there');
    same((await rows(page, 'sites'))[0].text, text, 'the site');
  });
  await context.close();
}

export async function trustSteps(browser, from, figures, how) {
  // What a page and the command do together needs the command.
  const bin = how.bin ?? `${root}bin/stubup`;
  // Two at a time, since each waits a good deal: for a browser that starts, a
  // link that is cut.
  await Promise.all([
    (async () => {
      await killSteps(from, figures, how);
      if (!existsSync(bin)) return skip('trust: sending to the command, and its doors', 'bin/stubup is not built');
      await sendingSteps(browser, bin, how, figures);
      await doorsSteps(browser, bin);
    })(),
    (async () => {
      await pageSteps(browser, from);
      await hurtSteps(browser, from, figures);
      await keptSteps(browser, from, figures, how);
      await awaySteps(browser, from, how);
    })(),
  ]);
  // What is timed has the machine to itself.
  await tabsSteps(browser, from, figures, how);
  await coldSteps(browser, from, figures, how);
}
