// Suite "hostile": what a person wrote is text on every page, whatever it
// looks like to a browser.
import { readFileSync } from 'node:fs';
import { devices, same, shots, step, until, want, watch } from './harness.mjs';
import { room, root, side, worked } from './pages.mjs';

const bad = [
  '<img src=x onerror="window.hit=1">%', '<script>window.hit=1</script>%', '"><svg onload=window.hit=1>%', "'-(window.hit=1)-'%", '</text></svg><iframe srcdoc="<script>parent.hit=1</script>">%',
  '<a href="javascript:window.hit=1">%</a>', '&lt;b&gt;%&amp;', ']]><!--%-->', '{{7*7}}${7*7}%', '<style>*{display:none}</style>%', '</title></style></script><base href=//x.example>%', '<b onclick=window.hit=1>%</b>',
];
const told = (i) => `f${String(i).padStart(2, '0')}`;

// document is the site in which every free text is a bad one, the next one in
// the next field.
function document(from) {
  let text = readFileSync(`${root}internal/issue/testdata/free.yaml`, 'utf8');
  const fields = [...new Set(text.match(/<\d\d>/g))].sort();
  fields.forEach((m, i) => (text = text.replaceAll(m, JSON.stringify(bad[(from + i) % bad.length].replace('%', told(i))))));
  want(fields.length > 25, `${fields.length} fields`);
  return { text, of: (i) => bad[(from + i) % bad.length].replace('%', told(i)), n: fields.length };
}

export async function hostileSteps(browser, from, figures, how) {
  for (const [name, options, turns] of [['phone', { ...devices.phone, viewport: { width: 412, height: 839 } }, [0]], ['desktop', devices.desktop, how.long ? [3, 5, 7, 11] : [5]]]) {
    const context = await browser.newContext({ ...options, acceptDownloads: true });
    const page = await context.newPage();
    const said = watch(page);
    page.on('dialog', (d) => (said.push(`a dialog: ${d.message()}`), void d.dismiss()));
    for (const turn of turns) {
      await step(`${name}: what a person wrote is text in every room, from ${turn}`, async () => {
        const doc = document(turn);
        await page.goto(from.url);
        await page.locator('input[type=file]').setInputFiles({ name: 'site.yaml', mimeType: 'application/yaml', buffer: Buffer.from(doc.text) });
        await page.locator('[data-room="layout"]').waitFor();
        await worked(page);
        const seen = new Set();
        // look holds the page as it stands to what it may be made of.
        const look = async (where) => {
          const { made, text, hit } = await page.evaluate(() => ({
            hit: window.hit,
            made: [...document.querySelectorAll('*')].flatMap((e) => [
              ...(['SCRIPT', 'IFRAME', 'BASE', 'STYLE', 'OBJECT', 'EMBED'].includes(e.tagName) && !(e.tagName === 'SCRIPT' && e.src.startsWith(location.origin)) && !(e.tagName === 'STYLE' && !e.textContent.includes('*{')) ? [`<${e.tagName}>`] : []),
              ...[...e.attributes].filter((a) => /^on/i.test(a.name) || (/^(href|src|xlink:href|action)$/i.test(a.name) && !/^(#|blob:|\.?\/|data:image|[\w.-]+$)/.test(a.value) && !a.value.startsWith(location.origin))).map((a) => `${e.tagName} ${a.name}=${a.value}`),
            ]),
            text: document.body.textContent + ' ' + [...document.querySelectorAll('input, textarea')].map((i) => i.value).join(' '),
          }));
          same(made, [], `${where}: made of what a person wrote`);
          same(hit, undefined, `${where}: something ran`);
          for (let i = 0; i < doc.n; i++) if (text.includes(doc.of(i))) seen.add(i);
        };
        for (const r of ['layout', 'prove', 'order', 'work', 'change', 'handover', 'sums']) {
          await room(page, r);
          if (r !== 'sums' && r !== 'change') await worked(page).catch((e) => { throw new Error(`${r}: ${e.message}`); });
          for (const s of ['figures', 'sketch']) {
            await side(page, s);
            if (r === 'layout' && options.hasTouch) await page.locator('.foot').getByRole('button', { name: s === 'sketch' ? 'plan' : 'write' }).click();
            await page.evaluate(() => document.querySelectorAll('main details:not([open]) > summary').forEach((d) => d.click()));
            await look(`${r}, ${s}`);
          }
          if (r === 'prove') {
            await side(page, 'figures');
            await page.getByRole('button', { name: 'all', exact: true }).click();
            await look('all findings');
          }
        }
        // A run that is open, with its cards.
        await room(page, 'layout');
        if (options.hasTouch) await page.locator('.foot').getByRole('button', { name: 'write' }).click();
        await page.locator('.things').getByRole('button', { name: /^run / }).first().click();
        await page.locator('.run .tally').waitFor();
        await until(async () => (await page.locator('.run').textContent()).length > 100, 'the run');
        await look('a run');
        // The list of sites, and the name in the head.
        await page.goto(from.url);
        await page.locator('#mine').waitFor();
        await until(async () => (await page.locator('section[aria-labelledby="mine"]').textContent()).includes(told(0)), 'the site by its name');
        await look('the list of sites');
        figures.verbatim = Math.max(figures.verbatim ?? 0, seen.size);
        want(seen.size >= 12, `only ${seen.size} of ${doc.n} texts were seen as they were written: ${[...seen].map(told)}`);
        same(said.splice(0), [], 'on the console');
        if (turn === 5) await page.screenshot({ path: `${shots}hostile-sites.png` });
      }, 120);
    }
    await context.close();
  }
}
