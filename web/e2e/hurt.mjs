// What comes in wrong: records, files, a full or emptied device, a wrong clock.
// Each is said plainly, and nothing that was here goes with it.
import { randomBytes } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { same, step, until, want } from './harness.mjs';
import { keptLine, move, put, rows } from './device.mjs';
import { button, example, opened, out, site, worked } from './pages.mjs';

const day = 864e5;
const visible = (page, text) => until(async () => (await page.locator('main.list, .head').allTextContents()).join(' ').match(text), `it says ${text}`);
const mine = (page) => page.locator('section[aria-labelledby="mine"] a');

async function taken(page, click) {
  const [d] = await Promise.all([page.waitForEvent('download', { timeout: 15000 }), click()]);
  return readFileSync(await d.path(), 'utf8');
}
const bringFile = (page, name, buffer) => page.locator('input[type="file"]').setInputFiles({ name, mimeType: 'application/octet-stream', buffer: Buffer.from(buffer) });
const cdp = (page) => page.context().newCDPSession(page);
const list = async (page, from) => {
  await page.goto(from.url);
  await page.locator('#mine').waitFor();
};

export async function hurtSteps(browser, from, figures) {
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, acceptDownloads: true });
  const page = await context.newPage();
  await opened(page, from);
  const id = await site(page);
  const text = await out(page);

  await step('trust: a damaged record does not take the others with it, and can be taken out', async () => {
    await put(page, 'sites', [{ id: 'bad-one', text: 5, name: 'x' }, { id: 'bad-two', text: 'format: 1\nname: half a site\n', server: 7 }]);
    await put(page, 'outbox', [{ n: 900, site: id, text: 3 }]);
    await put(page, 'results', [{ site: id, stage: 'layout', screen: 'torn' }]);
    await list(page, from);
    await until(async () => (await mine(page).count()) === 1, 'the whole site is listed');
    const hurt = page.locator('section[aria-labelledby="hurt"] li');
    same(await hurt.count(), 3, 'damaged records that are named');
    const raw = JSON.parse(await taken(page, () => hurt.nth(0).getByRole('button', { name: 'take it out as it is' }).click()));
    same([raw.store, raw.key, raw.value], ['sites', 'bad-one', { id: 'bad-one', text: 5, name: 'x' }], 'the damaged record as it is');
    await hurt.nth(1).getByRole('button', { name: 'open what reads as a new site' }).click();
    await page.locator('[data-room="layout"]').waitFor();
    await until(async () => /half a site/.test(await page.locator('.where').textContent()), 'what reads of it is a site of its own');
    await page.goto(`${from.url}#/site/${id}/layout`);
    await worked(page);
    same(await out(page), text, 'the whole site opens as it was');
    await list(page, from);
    for (let i = 3; i > 0; i--) {
      const hold = hurt.first().getByRole('button', { name: 'hold to take off' });
      await hold.hover();
      await page.mouse.down();
      await until(async () => (await hurt.count()) < i, 'a held button takes the record off');
      await page.mouse.up();
    }
    same((await rows(page, 'sites')).length, 2, 'the sites that are left');
  });

  await step('trust: a file that is no site is said, with what to do, and nothing comes in', async () => {
    await list(page, from);
    const before = JSON.stringify(await rows(page, 'sites'));
    for (const [name, body, says] of [
      ['photo.yaml', [0x89, 0x50, 0x4e, 0x47, 0, 0, 1, 2], /photo\.yaml is no text/],
      ['latin.yaml', [0x66, 0x6f, 0x72, 0x6d, 0x61, 0x74, 0x3a, 0x20, 0xe9, 0xff], /latin\.yaml is no text/],
      ['none.yaml', '', /none\.yaml is empty/],
      ['blank.yaml', '\n  \n', /blank\.yaml is empty/],
      ['large.yaml', `format: 1\n${'# more\n'.repeat(8e5)}`, /large\.yaml has 5\.6 MB; a site has at most 2 MB/],
      ['recipe.yaml', 'name: bread\nflour: 500 g\n', /recipe\.yaml is text and no site/],
      ['config.yaml', 'format: json\nlisten: 8080\nworkers: 4\n', /config\.yaml does not read as a site/],
      ['torn.yaml', 'format: 1\nground: [1, {\n', /torn\.yaml does not read as a site: line \d/],
      ['later.yaml', 'format: 7\nname: later\n', /later\.yaml does not read as a site/],
      ['other.json', '{"a": 1}', /other\.json is no file of a whole device/],
      ['torn.json', '{"stubup": "device", "sites": [', /torn\.json is no file of a whole device/],
    ]) {
      await bringFile(page, name, body);
      const said = await until(async () => {
        const s = (await page.locator('section[aria-labelledby="mine"] .say').allTextContents()).join(' ');
        return s.includes(name) ? s : '';
      }, `${name} is answered`);
      want(says.test(said), `${name}: "${said}", wanted ${says}`);
      want(/Nothing was brought; all that is here stays/.test(said) && /Choose the \.yaml file/.test(said), `${name}: it does not say what is safe and what to do: ${said}`);
      same(new URL(page.url()).hash.replace('#/', ''), '', `${name} opened something`);
    }
    same(JSON.stringify(await rows(page, 'sites')), before, 'the sites on the device');
  });

  await step('trust: everything goes out as one file and comes back on another device', async () => {
    await page.goto(`${from.url}#/site/${id}/layout`);
    await worked(page);
    await move(page, '1 ft');
    await until(async () => (await rows(page, 'outbox')).filter((r) => r.site === id).length === 2, 'the change is kept');
    await put(page, 'sites', [{ id: 'bad-one', text: 5 }]);
    await list(page, from);
    const all = await taken(page, () => button(page, 'take everything out as one file').click());
    const here = { sites: (await rows(page, 'sites')).filter((r) => typeof r.text === 'string'), outbox: await rows(page, 'outbox') };
    const there = await browser.newContext({ acceptDownloads: true });
    const other = await there.newPage();
    await list(other, from);
    for (let i = 0; i < 2; i++) {
      await bringFile(other, 'stubup-device.json', all);
      const says = i === 0 ? /2 sites brought with 3 changes not sent; 0 stood here already\. 1 record in it could not be read/ : /0 sites brought with 0 changes not sent; 2 stood here already/;
      await visible(other, says);
      const plain = (r) => ({ id: r.id, name: r.name, text: r.text, server: r.server, changed: r.changed });
      const byId = (a, b) => (a.id < b.id ? -1 : 1);
      same((await rows(other, 'sites')).map(plain).sort(byId), here.sites.map(plain).sort(byId), 'the sites on the other device');
      const change = (r) => [r.site, r.at, r.sentence, r.edits, r.request, r.text];
      same((await rows(other, 'outbox')).map(change), here.outbox.map(change), 'what is not sent, in its order');
    }
    // The same site in another state stands beside, and neither is lost.
    await put(other, 'sites', [{ ...(await rows(other, 'sites')).find((r) => r.id === id), text: 'format: 1\nname: another state\n' }]);
    await bringFile(other, 'stubup-device.json', all);
    await visible(other, /1 site brought/);
    same((await rows(other, 'sites')).length, 3, 'sites with one state beside another');
    await there.close();
  });

  await step('trust: a device that is really full: said, kept on the screen, and kept when there is room', async () => {
    // Nothing but the database takes room here: the pages are not kept.
    const c = await browser.newContext({ viewport: { width: 1440, height: 900 }, acceptDownloads: true, serviceWorkers: 'block' });
    const p = await c.newPage();
    try {
      const dev = await cdp(p);
      const origin = new URL(from.url).origin;
      // The room is set before anything is opened, since the browser counts on
      // what there was for half a minute. Letters that do not pack make each
      // change large: 0.2 MB, of which a megabyte takes a few.
      await p.goto(`${from.url}manifest.webmanifest`);
      await dev.send('Storage.overrideQuotaForOrigin', { origin, quotaSize: 1_000_000 });
      await list(p, from);
      const heavy = `${readFileSync(example, 'utf8')}# ${randomBytes(75e3).toString('base64')}\n`;
      await bringFile(p, 'heavy.yaml', heavy);
      await p.locator('[data-room="layout"]').waitFor();
      await worked(p);
      const full = async () => /not kept: no room on this device\. Take a file out now/.test(await keptLine(p));
      let n = 1; // changes on the disk
      for (; n < 12; n++) {
        await move(p, '2 in');
        await until(async () => (await full()) || (await rows(p, 'outbox')).length === n + 1, 'a change is kept or said not to be', 30000);
        if (await full()) break;
      }
      figures.full = n;
      want(n > 1 && n < 12, `the device was full after ${n} changes`);
      // What was on its way goes with the next try, and nothing comes after it.
      await until(async () => (await rows(p, 'results')).length === 0, 'results give their room to changes', 10000);
      await p.waitForTimeout(2500);
      if (await full()) same((await rows(p, 'results')).length, 0, 'results that take the room of changes');
      const changed = await out(p);
      // It is tried again every two seconds, and the database may find room by itself.
      const [{ text }] = await rows(p, 'sites');
      const kept = (await rows(p, 'outbox')).length;
      want(kept === n + 1 || (kept === n && text !== changed), `${kept} changes on the disk while it is full, and the file taken out has no more than is there`);
      await dev.send('Storage.overrideQuotaForOrigin', { origin });
      await until(async () => /kept on this device/.test(await keptLine(p)), 'it is kept when there is room', 20000);
      same((await rows(p, 'sites'))[0].text, changed, 'the document on the disk');
      same((await rows(p, 'outbox')).length, n + 1, 'changes on the disk');
    } finally {
      await c.close();
    }
  });

  await step('trust: a write that fails otherwise is not called want of room', async () => {
    await page.goto(`${from.url}#/site/${id}/layout`);
    await page.reload();
    await worked(page);
    const before = (await rows(page, 'outbox')).length;
    await page.evaluate(() => {
      window.realPut = IDBObjectStore.prototype.put;
      IDBObjectStore.prototype.put = function (...a) {
        if (this.name === 'sites') throw new DOMException('the disk did not answer', 'DataError');
        return window.realPut.apply(this, a);
      };
    });
    await move(page, '2 in');
    await until(async () => /not kept: this device did not take the write \(DataError: the disk did not answer\)/.test(await keptLine(page)), 'it says what failed');
    want(!/no room/.test(await keptLine(page)), 'it is called want of room');
    await page.evaluate(() => (IDBObjectStore.prototype.put = window.realPut));
    await until(async () => /kept on this device/.test(await keptLine(page)), 'it is kept afterwards', 20000);
    same((await rows(page, 'outbox')).length, before + 1, 'the change is there once');
  });

  await step('trust: the database closed under a page is opened again', async () => {
    const before = (await rows(page, 'outbox')).length;
    const other = await context.newPage();
    await other.goto(`${from.url}manifest.webmanifest`);
    // A newer format asks the page to let go; the page goes on in it.
    await other.evaluate(
      () =>
        new Promise((done, fail) => {
          const is = indexedDB.open('stubup');
          is.onsuccess = () => {
            const next = is.result.version + 1;
            is.result.close();
            const r = indexedDB.open('stubup', next);
            r.onsuccess = () => (r.result.close(), done());
            r.onerror = r.onblocked = () => fail(new Error('the page holds on'));
          };
        }),
    );
    await other.close();
    await move(page, '2 in');
    await until(async () => (await rows(page, 'outbox')).length === before + 1, 'the change is kept through a connection of its own');
    want(!/not kept/.test(await keptLine(page)), 'it says that it is not kept');
  });

  await step('trust: an emptied device: what is open is kept again, and what is gone is said', async () => {
    const dev = await cdp(page);
    const origin = new URL(from.url).origin;
    const open = (await rows(page, 'sites')).find((r) => r.id === id).text;
    await dev.send('Storage.clearDataForOrigin', { origin, storageTypes: 'all' });
    await visible(page, /the browser has cleared what was kept on this device/);
    await until(async () => (await rows(page, 'sites').catch(() => [])).some((r) => r.id === id && r.text === open), 'the open site is kept again');
    const all = await (await list(page, from), taken(page, () => button(page, 'take everything out as one file').click()));
    await page.goto('about:blank');
    await dev.send('Storage.clearDataForOrigin', { origin, storageTypes: 'all' });
    await page.goto(`${from.url}#/site/${id}/layout`);
    await visible(page, /This site is not on this device.*the browser has cleared it.*a file that was taken out brings the rest/);
    same(await page.getByRole('alert').getByRole('button', { name: 'bring a file' }).count(), 1, 'it offers to bring a file');
    await bringFile(page, 'stubup-device.json', all);
    await visible(page, /1 site brought/);
    same(await page.getByRole('alert').count(), 0, 'warnings once the site is here again');
    await mine(page).first().click();
    await worked(page);
    same(await out(page), open, 'the document that was brought');
  });

  await step('trust: a wrong clock changes no order, and is said', async () => {
    const count = async () => (await rows(page, 'outbox')).length;
    const order = () => mine(page).evaluateAll((l) => l.map((x) => x.getAttribute('href').split('/')[2]));
    const a = await site(page);
    await list(page, from);
    want(!/clock/.test(await page.locator('main').textContent()), 'a right clock is called wrong');
    await button(page, 'open compound A').click();
    await worked(page);
    const b = await site(page);
    const first = await count();
    // A year back: the first site is changed now, with an older time.
    await page.clock.install({ time: Date.now() - 365 * day });
    await page.goto(`${from.url}#/site/${a}/layout`);
    await page.reload();
    await worked(page);
    await until(async () => /kept on this device \d{4}-\d\d-\d\d \d\d:\d\d/.test(await keptLine(page)), 'what was kept on another day says its day');
    await move(page, '1 in');
    await until(async () => (await count()) === first + 1, 'the change is kept');
    await list(page, from);
    await page.reload();
    await visible(page, /This device's clock is 36[45] days \d+ h behind the server's/);
    await until(async () => (await mine(page).count()) === 2, 'both sites');
    same(await order(), [a, b], 'the one that was changed last stands first');
    const kept = (await rows(page, 'outbox')).slice(-2);
    same(kept.map((r) => r.site), [b, a], 'the order of the changes');
    want(kept[1].at < kept[0].at, 'the clock was a year back');
    // A day ahead: told as well, and the order stays.
    await page.clock.setSystemTime(Date.now() + day);
    await page.goto(`${from.url}#/site/${b}/layout`);
    await worked(page);
    await move(page, '1 in');
    await until(async () => (await count()) === first + 2, 'the change is kept');
    await list(page, from);
    await page.reload();
    await visible(page, /This device's clock is (1 day 0 h|23 h 59 min) ahead of the server's\. The order of what was done is kept/);
    await until(async () => (await mine(page).count()) === 2, 'both sites');
    same(await order(), [b, a], 'the one that was changed last stands first');
  }, 90);
  await context.close();
}
