// Sending to the command itself: what is lost on the way is sent again and
// written once, and the page never says more than it knows.
import { same, step, until, want } from './harness.mjs';
import { started } from './command.mjs';
import { badge, edits, rows, send } from './device.mjs';
import { badLink, chance, cuts } from './link.mjs';
import { opened, out } from './pages.mjs';

const api = async (server, path) => {
  const r = await fetch(new URL(`api/${path}`, server.url));
  if (!r.ok) throw new Error(`${path}: ${r.status}`);
  return r.json();
};
const brought = async (server) => (await api(server, 'sites')).sites.filter((s) => !s.example);
const revisions = async (server, id) => (await api(server, `sites/${id}/revisions?limit=1000`)).revisions.reverse();

export async function sendingSteps(browser, bin, how, figures) {
  await step('trust: an answer that is lost makes no second site and no conflict', async () => {
    const server = await started(bin);
    const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, acceptDownloads: true, serviceWorkers: 'block' });
    try {
      const page = await context.newPage();
      await opened(page, server);
      // Every answer is lost after the server wrote, twice for each press: the
      // page asks once more by itself.
      const posts = (u) => u.pathname.startsWith('/api/sites');
      const lose = async (route) => {
        if (route.request().method() !== 'POST') return route.continue();
        await route.fetch();
        await route.abort('connectionreset');
      };
      await page.route(posts, lose);
      for (let i = 1; i <= 2; i++) {
        await send(page);
        same((await brought(server)).length, 1, `sites after ${i} lost answers`);
        const b = await badge(page);
        same([b.n, b.unheard], [1, 1], `what the page says after a lost answer (${b.said})`);
      }
      await page.unroute(posts, lose);
      await send(page);
      same((await badge(page)).said, 'all sent', 'what the page says once it heard');
      await edits(page, 2);
      await page.route(posts, lose);
      await send(page);
      const b = await badge(page);
      same([b.n, b.unheard], [2, 1], `a change went out unheard, another waits (${b.said})`);
      await page.reload();
      await until(async () => (await badge(page)).unheard === 1, 'it is known after the page was loaded again', 30000);
      await page.unroute(posts, lose);
      await send(page);
      same((await badge(page)).said, 'all sent', 'all is sent');
      want(!/another revision/.test(await page.locator('.head').textContent()), 'there is a conflict with itself');
      const sites = await brought(server);
      same([sites.length, sites[0].heads.length, sites[0].revisions], [1, 1, 3], 'sites, heads and revisions at the server');
      same((await api(server, `sites/${sites[0].id}`)).text, await out(page), 'the document at the server');
    } finally {
      await context.close();
      await server.close();
    }
  }, 120);

  const most = how.long ? 200 : 30;
  await step(`trust: ${most} cut-offs on the way: what is said is true, and each thing arrives once`, async () => {
    const server = await started(bin);
    const random = chance(20260301);
    let cut = 0;
    const kinds = {};
    let whole = false;
    const link = await badLink(server.url, (req) => {
      if (whole || req.method !== 'POST' || random() < 0.25) return '';
      const where = cuts[Math.floor(random() * cuts.length)];
      cut++;
      kinds[where] = (kinds[where] ?? 0) + 1;
      return where;
    });
    const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, acceptDownloads: true, serviceWorkers: 'block' });
    try {
      const page = await context.newPage();
      await opened(page, link);
      const there = async () => {
        const [s] = await brought(server);
        return s ? s.revisions : 0;
      };
      const wanted = (await rows(page, 'outbox')).map((r) => r.sentence);
      let doubts = 0;
      for (let press = 0; cut < most; press++) {
        want(press < most * 4, `${cut} cut-offs after ${press} sendings`);
        if ((await badge(page)).n < 2) {
          const had = new Set((await rows(page, 'outbox')).map((r) => r.n));
          await edits(page, 6);
          wanted.push(...(await rows(page, 'outbox')).filter((r) => !had.has(r.n)).map((r) => r.sentence));
        }
        await send(page);
        const b = await badge(page);
        const missing = wanted.length - (await there());
        want(missing <= b.n && missing >= b.n - b.unheard, `after ${cut} cut-offs the page says "${b.said}", and the server lacks ${missing}`);
        same(b.n, (await rows(page, 'outbox')).length, 'what the page says and what is on the disk');
        if (b.unheard) doubts++;
      }
      whole = true;
      await send(page);
      same((await badge(page)).said, 'all sent', 'in the end');
      const sites = await brought(server);
      same([sites.length, sites[0].heads.length], [1, 1], 'sites and heads at the server');
      same((await revisions(server, sites[0].id)).map((r) => r.sentence), wanted, 'what arrived, in its order');
      same((await api(server, `sites/${sites[0].id}`)).text, await out(page), 'the document at the server');
      want(cuts.every((k) => kinds[k] > 0), `every kind of cut was tried: ${JSON.stringify(kinds)}`);
      figures.cutoffs = { ...kinds, doubts, changes: wanted.length };
    } finally {
      await context.close();
      await link.close();
      await server.close();
    }
  }, 60 + most * 5);
}
