// The command's doors as a browser meets them: the token where the user of a
// connection cannot be read, and nothing that goes anywhere else.
import { spawnSync } from 'node:child_process';
import { same, skip, step, until, want } from './harness.mjs';
import { started } from './command.mjs';
import { move, rows, send } from './device.mjs';
import { button, opened, room, rooms, worked } from './pages.mjs';

// Without /proc nobody's user can be read.
const blind = ['unshare', '-m', 'sh', '-c', 'mount -t tmpfs none /proc && exec "$0" "$@"'];
const theirs = (page) => page.locator('section[aria-labelledby="theirs"]');

export async function doorsSteps(browser, bin) {
  if (spawnSync('unshare', ['-m', 'sh', '-c', 'mount -t tmpfs none /proc']).status === 0)
    await step('trust: where the user cannot be read the address carries a token, and nothing else does', async () => {
      const server = await started(bin, blind);
      const context = await browser.newContext({ acceptDownloads: true });
      try {
        const token = /#t=(\w{20,})$/.exec(server.url)?.[1];
        want(token, `the printed address is ${server.url}`);
        want(/the whole address below opens it/.test(server.said()) && !/only programs of your user/.test(server.said()), `it says ${server.said()}`);
        const plain = server.url.replace(/#.*/, '');
        same((await fetch(`${plain}api/sites`)).status, 403, 'data without the token');
        same((await fetch(`${plain}api/sites?t=${token}`)).status, 403, 'data with the token in the address');
        same((await fetch(`${plain}api/sites`, { headers: { 'Stubup-Token': token } })).status, 200, 'data with the token');
        const asked = [];
        context.on('request', (r) => asked.push([r.url(), JSON.stringify({ ...r.headers(), 'stubup-token': undefined })]));
        // Without it the page says what is missing, and works on what is here.
        const poor = await context.newPage();
        await poor.goto(plain);
        await until(async () => /The server is there and refused: .*Open the whole address that the program printed/.test(await theirs(poor).textContent()), 'it says what is missing');
        await opened(poor, { url: plain });
        await poor.close();
        // With it: taken out of the address at once, and out of what comes back.
        const page = await context.newPage();
        await page.goto(server.url);
        await theirs(page).getByRole('button', { name: /Compound A/ }).waitFor();
        same(page.url(), `${plain}#/`, 'the address in the bar');
        await page.reload();
        await theirs(page).getByRole('button', { name: /Compound A/ }).waitFor();
        await opened(page, { url: plain });
        await send(page);
        await until(async () => (await rows(page, 'outbox')).filter((r) => r.tried).length === 0 && (await rows(page, 'sites')).some((r) => r.server), 'it is sent');
        const kept = await page.evaluate(() => [sessionStorage.getItem('token'), JSON.stringify({ ...localStorage }) + document.cookie]);
        same(kept[0], token, 'the token of this tab');
        want(!kept[1].includes(token), `the token is kept beyond the tab: ${kept[1]}`);
        want(!asked.some((a) => a.join(' ').includes(token)), 'the token went out in an address or another header');
        await page.evaluate(() => history.back());
        want(!page.url().includes(token), 'the token is in the history');
      } finally {
        await context.close();
        await server.close();
      }
    });
  else skip('trust: where the user cannot be read the address carries a token', 'unshare');

  await step('trust: a walk through every room asks this server alone', async () => {
    const server = await started(bin);
    const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, acceptDownloads: true });
    const own = new URL(server.url).origin;
    const asked = [];
    context.on('request', (r) => asked.push(r.url()));
    const foreign = () => asked.filter((u) => !u.startsWith(`${own}/`) && !u.startsWith(`blob:${own}/`) && !u.startsWith('data:'));
    try {
      const page = await context.newPage();
      await opened(page, server);
      await move(page, '1 ft');
      for (const r of rooms) {
        await room(page, r);
        if (r === 'sums') continue;
        if (r === 'change') await button(page, 'before the last changes here').click();
        await worked(page);
        for (const f of await page.locator('.files').getByRole('button', { name: /\.(pdf|xlsx|csv|svg|dxf|yaml)$/ }).filter({ visible: true }).all()) {
          const [d] = await Promise.all([page.waitForEvent('download', { timeout: 60000 }), f.click()]);
          want(d.url().startsWith(`blob:${own}/`), `${d.suggestedFilename()} comes from ${d.url()}`);
        }
      }
      await room(page, 'layout');
      await send(page);
      await button(page, /^español$/).first().evaluate((b) => b.click());
      await page.goto(server.url);
      await page.locator('#theirs').waitFor();
      same(foreign(), [], 'requests to elsewhere');
      for (const part of ['engine.wasm', 'paper.wasm', 'sw.js', 'api/sites']) want(asked.some((u) => u.includes(part)), `the record does not show ${part}`);
      // A page that tries is held back by its policy, whatever way it takes.
      const held = await page.evaluate(async () => {
        const said = [];
        addEventListener('securitypolicyviolation', (e) => said.push(e.effectiveDirective));
        const at = 'http://localhost:1/x';
        await fetch(at).catch(() => {});
        navigator.sendBeacon(at, 'x');
        new Image().src = at;
        try {
          new WebSocket('ws://localhost:1/x').onerror = () => {};
        } catch {
          // refused at once
        }
        for (const [tag, key] of [['script', 'src'], ['iframe', 'src'], ['link', 'href']]) document.head.append(Object.assign(document.createElement(tag), { [key]: at, rel: 'stylesheet' }));
        const f = Object.assign(document.createElement('form'), { action: at, method: 'post' });
        document.body.append(f);
        f.submit();
        for (const end = performance.now() + 10000; performance.now() < end && new Set(said).size < 6; ) await new Promise((d) => setTimeout(d, 50));
        return said;
      });
      for (const d of ['connect-src', 'img-src', 'script-src-elem', 'frame-src', 'style-src-elem', 'form-action']) want(held.includes(d), `${d} holds nothing back: ${held}`);
      same(held.filter((d) => d === 'connect-src').length, 3, 'fetch, beacon and socket');
      // The same record sees a page that is not held back.
      const loose = await context.newPage();
      await loose.setContent('<img src="http://localhost:1/x">');
      await until(() => foreign().includes('http://localhost:1/x'), 'a request to elsewhere is seen');
    } finally {
      await context.close();
      await server.close();
    }
  }, 240);
}
