// The whole way of a person through the pages, on a phone and on a desk: the
// reference compound opened, each room looked at in each light, a thing moved
// and moved back, the page loaded again, and all of it without a signal.
import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { axe, devices, same, shots, step, until, want, watch } from './harness.mjs';
import { button, clocks, example, hash, light, lights, out, room, rooms, root, side, tables, worked } from './pages.mjs';

// walk is the way on one device. Both devices are walked at once; what is
// timed is timed after them.
async function walk(browser, from, figures, device, { long, command }) {
    const options = devices[device];
    const context = await browser.newContext({ ...options, acceptDownloads: true });
    await context.addInitScript(clocks);
    let page = await context.newPage();
    let said = watch(page);
    const quiet = (what) => same(said.splice(0), [], what);
    let kept = '';
    const here = (s) => `${device}: ${s}`;
    const seen = async (name, f, most) => (await step(name, f, most)) || (await page.screenshot({ path: `${shots}fail-${name.replace(/[^a-z]+/gi, '-')}.png`, timeout: 5000 }).catch(() => {}), false);

    const opened = await seen(here('the first visit opens the reference compound'), async () => {
      await page.goto(from.url);
      await page.getByRole('heading', { level: 1 }).waitFor();
      figures[device] = {};
      await button(page, 'open compound A').click();
      await page.locator('[data-room="layout"]').waitFor();
      await worked(page);
      quiet('on the console');
    });
    if (!opened) return context.close();

    for (const r of rooms) {
      await seen(here(`${r} shows its heading and its results`), async () => {
        await room(page, r);
        await side(page, 'figures');
        if (r === 'layout' && device === 'phone') await page.locator('.foot').getByRole('button', { name: 'write' }).click();
        const heading = page.getByRole('heading', { level: 2 }).first();
        await heading.waitFor();
        want((await heading.textContent()).trim().length > 3, 'the heading says nothing');
        if (r === 'change') await page.getByRole('button', { name: 'before the last changes here' }).click();
        if (r !== 'sums') {
          await worked(page);
          await page.screenshot({ path: `${shots}${device}-${r}.png` });
          if (r === 'layout') {
            if (device === 'phone') await page.locator('.foot').getByRole('button', { name: 'plan' }).click();
            await page.locator('.views').getByRole('button', { name: 'tables' }).click();
          } else await side(page, 'sketch');
          // With itself as the earlier state nothing differs yet; the move below does.
          if (r !== 'change') (figures[device].tables ??= {})[r] = await until(() => tables(page), 'a table with rows');
          if (device === 'phone') await page.screenshot({ path: `${shots}${device}-${r}-sketch.png` });
          if (r === 'layout') await page.locator('.views').getByRole('button', { name: 'plan' }).click();
        }
        want(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth + 1), 'the page is wider than the screen');
        quiet('on the console');
      });
    }

    // Suite looks does this for some rooms; the long form for all of them.
    for (const l of long ? lights : []) {
      await seen(here(`no serious finding of accessibility in the light "${l}"`), async () => {
        const found = [];
        await light(page, l);
        for (const r of rooms) {
          await room(page, r);
          if (r !== 'sums' && r !== 'change') await worked(page);
          for (const s of device === 'phone' ? ['figures', 'sketch'] : ['figures']) {
            if (device === 'phone' && r === 'layout') await page.locator('.foot').getByRole('button', { name: s === 'figures' ? 'write' : 'plan' }).click();
            else await side(page, s);
            found.push(...(await axe(page, l === 'day' || long ? [] : ['color-contrast'])).map((f) => `${r} ${s}: ${f}`));
          }
          if (l !== 'day') await page.screenshot({ path: `${shots}${device}-${r}-${l}.png` });
        }
        same([...new Set(found)].slice(0, 12), [], `${found.length} findings`);
        quiet('on the console');
      }, 150);
    }
    await light(page, 'day');

    await seen(here('the file taken out is the one that came in'), async () => {
      await room(page, 'layout');
      if (device === 'phone') await page.locator('.foot').getByRole('button', { name: 'write' }).click();
      await worked(page);
      kept = await out(page);
      same(kept, readFileSync(example, 'utf8'), 'the file');
    });

    await seen(here('a thing is moved, and undo brings back the same bytes'), async () => {
      await page.locator('.things').getByRole('button', { name: /rod/i }).first().click();
      const move = page.locator('.mover');
      await move.waitFor();
      await move.getByLabel('by east').fill('1 ft');
      await move.getByLabel('by east').press('Enter');
      const t = Date.now();
      await move.getByRole('button', { name: 'move it' }).click();
      await until(async () => hash(await out(page)) !== hash(kept), 'the document changes');
      await worked(page);
      figures[device].edit = Date.now() - t;
      await page.evaluate(() => document.activeElement?.blur());
      await page.keyboard.press('Control+z');
      await until(async () => (await out(page)) === kept, 'undo brings back the same bytes');
      await page.evaluate(() => document.activeElement?.blur());
      await page.keyboard.press('Control+y');
      await until(async () => (await out(page)) !== kept, 'redo changes it again');
      kept = await out(page);
      await room(page, 'change');
      await side(page, 'figures');
      await page.getByRole('button', { name: 'before the last changes here' }).click();
      await worked(page);
      await until(() => tables(page), 'what differs is in a table');
      quiet('on the console');
    });

    await seen(here('loading the page again keeps what was kept, and undo goes on where it was left'), async () => {
      await room(page, 'layout');
      const again = async () => {
        await page.reload();
        await worked(page);
        if (device === 'phone') await page.locator('.foot').getByRole('button', { name: 'write' }).click();
        await page.locator('.summary:not(.stale)').first().waitFor();
        await until(() => button(page, 'take out the site file').first().isEnabled(), 'the engine has it open', 30000);
      };
      await again();
      same(hash(await out(page)), hash(kept), 'the document after loading again');
      want(/kept on this device \d\d:\d\d/.test(await page.locator('.kept').textContent()), 'it says when it was kept');
      const turn = async (key, wanted, what) => {
        await page.evaluate(() => document.activeElement?.blur());
        await page.keyboard.press(key);
        await until(async () => hash(await out(page)) === wanted, what);
      };
      await turn('Control+z', hash(readFileSync(example, 'utf8')), 'undo of what was done before the page was loaded');
      await again();
      await turn('Control+y', hash(kept), 'redo of it after loading again');
      quiet('on the console');
    });

    await seen(here('a second page only shows, and sees what the first writes'), async () => {
      const other = await context.newPage();
      try {
      const heard = watch(other);
      await other.goto(page.url());
      await worked(other);
      want(/Open in another tab/.test(await other.locator('body').textContent()), 'the second page says that it only shows');
      await page.bringToFront();
      await page.locator('.things').getByRole('button', { name: /rod/i }).first().click();
      await page.locator('.mover').getByLabel('by east').fill('6 in');
      await page.locator('.mover').getByLabel('by east').press('Enter');
      await page.locator('.mover').getByRole('button', { name: 'move it' }).click();
      await until(async () => (await out(page)) !== kept, 'the document changes');
      kept = await out(page);
      await other.bringToFront();
      if (device === 'phone') await other.locator('.foot').getByRole('button', { name: 'write' }).click();
      await until(async () => (await out(other)) === kept, 'the second page has what the first wrote', 30000);
      same(heard, [], 'on the console of the second page');
      } finally {
        await other.close();
        await page.bringToFront();
      }
    });

    await seen(here('all of it opens without a signal after one visit'), async () => {
      await page.evaluate(() => navigator.serviceWorker.ready);
      await until(() => page.evaluate(() => !!navigator.serviceWorker.controller), 'the worker takes the page', 30000);
      await context.setOffline(true);
      await page.close();
      page = await context.newPage();
      said = watch(page);
      await page.goto(from.url.replace(/#.*/, ''));
      await page.getByRole('heading', { level: 1 }).waitFor();
      await page.locator('.sites a').first().click();
      for (const r of rooms) {
        await room(page, r);
        if (r !== 'sums' && r !== 'change') await worked(page);
      }
      await room(page, 'layout');
      if (device === 'phone') await page.locator('.foot').getByRole('button', { name: 'write' }).click();
      await until(() => button(page, 'take out the site file').first().isEnabled(), 'the engine has it open', 30000);
      same(hash(await out(page)), hash(kept), 'the document without a signal');
      await page.locator('.things').getByRole('button', { name: /rod/i }).first().click();
      await page.locator('.mover').getByLabel('by east').fill('-1 ft');
      await page.locator('.mover').getByLabel('by east').press('Enter');
      await page.locator('.mover').getByRole('button', { name: 'move it' }).click();
      await until(async () => (await out(page)) !== kept, 'an edit without a signal');
      quiet('on the console');
    });

    if (device === 'desktop') {
      await seen(here('the book and the order are written without a signal'), async () => {
        await context.setOffline(false);
        await page.evaluate(() => fetch('paper.wasm').then((r) => r.arrayBuffer()));
        await context.setOffline(true);
        const written = async (r, name) => {
          await room(page, r);
          const [d] = await Promise.all([page.waitForEvent('download', { timeout: 60000 }), button(page, name).click()]);
          return readFileSync(await d.path());
        };
        const pdf = await written('handover', 'handover.pdf');
        same(pdf.subarray(0, 5).toString(), '%PDF-', 'the book begins as a PDF');
        const xlsx = await written('order', 'order.xlsx');
        same(xlsx.subarray(0, 2).toString(), 'PK', 'the order begins as a workbook');
        figures.paper = { pdf: pdf.length, xlsx: xlsx.length };
        quiet('on the console');
      }, 120);
    }

    if (device === 'phone') {
      await seen(here('targets are 48 px, in reach of a glove'), async () => {
        const small = [];
        for (const r of rooms) {
          await room(page, r);
          for (const s of ['figures', 'sketch']) {
            if (r === 'layout') await page.locator('.foot').getByRole('button', { name: s === 'figures' ? 'write' : 'plan' }).click();
            else await side(page, s);
            small.push(
              ...(await page.evaluate((r) => {
                const out = [];
                for (const e of document.querySelectorAll('button, a[href], input, select, textarea, summary')) {
                  const b = (e.closest('label') ?? e).getBoundingClientRect();
                  if (b.width < 1 || b.height < 1 || !e.checkVisibility({ checkVisibilityCSS: true, checkOpacity: true }) || e.classList.contains('skip')) continue;
                  if (b.height < 47.5 || b.width < 47.5) out.push(`${r}: ${e.tagName.toLowerCase()}.${e.className} "${(e.textContent || e.getAttribute('aria-label') || '').trim().slice(0, 30)}" ${Math.round(b.width)} x ${Math.round(b.height)}`);
                }
                return out;
              }, r)),
            );
          }
        }
        figures.small = new Set(small).size;
        same([...new Set(small)].slice(0, 12), [], `${figures.small} targets under 48 px`);
      });
    }
    await context.setOffline(false);

    if (command) {
      await seen(here('what is written here is sent, and the server has the same bytes'), async () => {
        await room(page, 'layout');
        await page.locator('.kept').getByRole('button', { name: 'send' }).click();
        await until(async () => /all sent/.test(await page.locator('.kept').textContent()), 'all is sent', 30000);
        const mine = await out(page);
        const theirs = await page.evaluate(async () => {
          const { sites } = await (await fetch('./api/sites')).json();
          return Promise.all(sites.map(async (s) => (await (await fetch(`./api/sites/${s.id}`)).json()).text));
        });
        want(theirs.includes(mine), 'the server has another document');
        quiet('on the console');
      });
    }
    await context.close().catch(() => {});
}

export async function appSteps(browser, from, figures, how) {
  await Promise.all(Object.keys(devices).map((d) => walk(browser, from, figures, d, how)));

      await step('the browser says what the command says', async () => {
        const bin = `${root}bin/stubup`;
        want(existsSync(bin), 'bin/stubup is not built; run make build');
        const c = await browser.newContext(devices.desktop);
        const p = await c.newPage();
        await p.goto(from.url);
        await button(p, 'open compound A').click();
        await p.locator('[data-room="layout"]').waitFor();
        for (const r of ['layout', 'prove', 'order', 'work', 'handover']) {
          await room(p, r);
          await worked(p);
          const lines = await p.locator('.summary p').allTextContents();
          let told;
          try {
            told = execFileSync(bin, [r, example], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] });
          } catch (e) {
            if (e.status !== 1) throw e; // 1: a rule is broken, which is an answer
            told = e.stdout;
          }
          const flat = told.replace(/\s+/g, ' ');
          same(lines.map((l) => l.trim().replace(/\s+/g, ' ')).filter((l) => !flat.includes(l)), [], `${r}: sentences that the command does not say`);
        }
        await c.close();
      });
}
