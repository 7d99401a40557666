// Suite "trust": nothing is lost: kills, a second page, a newer build, a full or emptied
// device, a damaged book, a wrong clock.
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { browserPath, same, skip, step, until, want } from './harness.mjs';
import { keptLine, move, pidsOf, rows } from './device.mjs';
import { button, opened, out, root, worked } from './pages.mjs';
import { hurtSteps } from './hurt.mjs';
import { sendingSteps } from './sending.mjs';

const persistent = (dir) =>
  chromium.launchPersistentContext(dir, { executablePath: browserPath(), args: ['--no-sandbox', '--disable-dev-shm-usage'], viewport: { width: 1440, height: 900 }, acceptDownloads: true });

export async function trustSteps(browser, from, figures, how) {
  const runs = how.long ? 40 : 4;
  await step(`trust: ${runs} kills of the browser lose nothing that was said to be kept`, async () => {
    const dir = mkdtempSync(join(tmpdir(), 'stubup-kill-'));
    let context = await persistent(dir);
    try {
      let page = await context.newPage();
      await opened(page, from);
      const at = page.url();
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
        for (const p of pidsOf(dir)) {
          try {
            process.kill(p, 'SIGKILL');
          } catch {
            continue; // gone with its parent
          }
        }
        const acknowledged = told;
        await until(() => pidsOf(dir).length === 0, 'the browser is gone');
        await context.close().catch(() => {});
        context = await persistent(dir);
        page = await context.newPage();
        await page.goto(at);
        await worked(page);
        const after = await rows(page, 'outbox');
        want(after.length >= before + acknowledged, `run ${i}: ${after.length} changes are here, ${before} and ${acknowledged} were kept`);
        want(after.length <= before + 1, `run ${i}: a change is there twice`);
        if (after.length > before) landed++;
        const [site] = await rows(page, 'sites');
        same(site.text === after[after.length - 1].text, true, `run ${i}: the document is that of the last change`);
        await until(() => button(page, 'take out the site file').first().isEnabled(), 'the engine has it open', 30000);
      }
      figures.kills = { runs, landed };
    } finally {
      await context.close().catch(() => {});
      rmSync(dir, { recursive: true, force: true });
    }
  }, 60 + runs * 15);

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
  await hurtSteps(browser, from, how);

  // What a page and the command do together needs the command.
  const bin = how.bin ?? `${root}bin/stubup`;
  if (existsSync(bin)) await sendingSteps(browser, bin, how, figures);
  else skip('trust: sending to the command', 'bin/stubup is not built');
}
