// The signs and lines of the sketch, each alone in each state, as they are
// painted: are planned, open, in and covered told apart without their colour,
// and are the strokes strong enough?
import { readFileSync } from 'node:fs';
import { same, shots, step, want } from './harness.mjs';
import { light, lights } from './pages.mjs';

const signs = JSON.parse(readFileSync(new URL('./signs.json', import.meta.url), 'utf8'));

// laid opens a site whose last result is the sheet of all signs. The engine
// does not come, so that it stays.
async function laid(browser, from, scale) {
  const context = await browser.newContext({ viewport: { width: 1950, height: 1210 }, deviceScaleFactor: scale, serviceWorkers: 'block' });
  await context.route('**/engine.wasm*', (r) => r.abort());
  const page = await context.newPage();
  await page.goto(from.url);
  await page.locator('main.list .row button').first().waitFor();
  await page.evaluate(async (screen) => {
    const db = await new Promise((done, fail) => {
      const r = indexedDB.open('stubup');
      r.onsuccess = () => done(r.result);
      r.onerror = () => fail(r.error);
    });
    const t = db.transaction(['sites', 'results'], 'readwrite', { durability: 'strict' });
    const now = new Date().toISOString();
    t.objectStore('sites').put({ id: 'signs', name: 'signs', revision: '', text: '', created: now, changed: now });
    // One thing, so that the sheet is not taken for an empty one and is fitted whole.
    const things = { kind: 'things', things: [{ id: 'post 1', kind: 'post', said: 'post 1', path: '', at: [0, 0] }] };
    t.objectStore('results').put({ site: 'signs', stage: 'layout', screen: { ...screen, order: [...screen.order.filter((k) => k !== 'things'), 'things'], parts: { ...screen.parts, things }, stale: false } });
    await new Promise((done, fail) => ((t.oncomplete = done), (t.onerror = () => fail(t.error))));
    db.close();
    location.hash = '#/site/signs/layout';
  }, signs.screen);
  await page.locator('.area svg.sketch g').first().waitFor();
  // What lies over the sketch, the rule and the north mark, is no sign.
  await page.addStyleTag({ content: '.over { display: none !important }' }).catch(() => page.evaluate(() => (document.querySelector('.over').style.display = 'none')));
  return page;
}

// looked reads the picture of the sketch: for each cell what its strokes say.
// It runs in a page of its own; ways are matrices that a colour passes
// through before only its luminance is kept.
function looked({ picture, cells, px, paper, ways }) {
  const lin = Array.from({ length: 256 }, (_, v) => (v <= 10 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4));
  const clip = (v) => Math.min(1, Math.max(0, v));
  return new Promise((done, fail) => {
    const img = new Image();
    img.onerror = () => fail(new Error('no picture'));
    img.onload = () => {
      const c = document.createElement('canvas');
      c.width = img.width;
      c.height = img.height;
      const g = c.getContext('2d', { willReadFrequently: true });
      g.drawImage(img, 0, 0);
      const data = g.getImageData(0, 0, img.width, img.height).data;
      const out = {};
      for (const [way, m] of Object.entries(ways)) {
        const lumOf = (r, gr, b) => {
          const v = m.map((row) => clip(row[0] * lin[r] + row[1] * lin[gr] + row[2] * lin[b]));
          return 0.2126 * v[0] + 0.7152 * v[1] + 0.0722 * v[2];
        };
        const ground = lumOf(...paper);
        const ratioAt = (x, y) => {
          const i = (y * img.width + x) * 4;
          const l = lumOf(data[i], data[i + 1], data[i + 2]);
          return (Math.max(l, ground) + 0.05) / (Math.min(l, ground) + 0.05);
        };
        out[way] = cells.map((cell) => {
          const X = (mm) => Math.round(px.x + mm * px.k);
          const Y = (mm) => Math.round(px.y + mm * px.k);
          const [cx, cy, w, h] = cell.at;
          const x0 = X(cx);
          const [wide, high] = [X(cx + w) - x0, Y(cy + h) - Y(cy)];
          const y0 = Y(cy);
          const ink = new Uint8Array(wide * high);
          let most = 1;
          for (let y = 0; y < high; y++)
            for (let x = 0; x < wide; x++) {
              const r = ratioAt(x0 + x, y0 + y);
              most = Math.max(most, r);
              if (r > 2) ink[y * wide + x] = 1;
            }
          const k = px.k;
          const midX = wide / 2;
          const midY = high / 2;
          // The runs of ink in one row of the picture, in mm.
          const runs = (y, from, to) => {
            const list = [];
            let n = 0;
            for (let x = Math.round(from); x <= Math.round(to); x++) {
              if (x < Math.round(to) && ink[y * wide + x]) n++;
              else if (n) {
                list.push(n / k);
                n = 0;
              }
            }
            return list;
          };
          const rows = (a, b, f) => {
            for (let y = Math.max(0, Math.round(midY + a * k)); y <= Math.min(high - 1, Math.round(midY + b * k)); y++) if (f(y)) return true;
            return false;
          };
          // How many blobs of ink there are.
          const blobs = () => {
            const seen = new Uint8Array(ink.length);
            let n = 0;
            for (let s = 0; s < ink.length; s++) {
              if (!ink[s] || seen[s]) continue;
              n++;
              const heap = [s];
              seen[s] = 1;
              while (heap.length) {
                const p = heap.pop();
                for (const d of [-1, 1, -wide, wide, -wide - 1, -wide + 1, wide - 1, wide + 1]) {
                  const q = p + d;
                  if (q >= 0 && q < ink.length && ink[q] && !seen[q] && Math.abs((q % wide) - (p % wide)) < 2) {
                    seen[q] = 1;
                    heap.push(q);
                  }
                }
              }
            }
            return n;
          };
          let state;
          let thin = 0;
          let fill;
          if (cell.line) {
            const [from, to] = [midX - cell.half[0] * k + 1, midX + cell.half[0] * k - 1];
            const long = (to - from) / k;
            const solid = (y) => runs(y, from, to).some((r) => r > long * 0.96);
            const dashed = (y) => {
              const r = runs(y, from, to);
              return r.length >= 2 && Math.min(...r.slice(1, -1), Math.max(...r)) > 1.3 && r.reduce((s, v) => s + v, 0) < long * 0.9;
            };
            const ticked = (y) => {
              const r = runs(y, from, to);
              return r.length >= 5 && Math.max(...r) < 1.3;
            };
            if (cell.kind === 'gate jumper') state = blobs() > 3 ? 'planned' : 'in';
            else {
              const [s, d, t] = [rows(-3.2, 3.2, solid), rows(-3.2, 3.2, dashed), rows(-3.2, 3.2, ticked)];
              const banks = rows(-3.2, -0.8, solid) && rows(0.8, 3.2, solid);
              if (cell.kind === 'trench') state = d && !s ? 'planned' : banks && !t ? 'open' : t ? 'covered' : '?';
              else state = d && s ? 'open' : d ? 'planned' : s && t ? 'covered' : s ? 'in' : '?';
            }
            // How thick it is where it is crossed; the ends of ticks are thinner.
            const thick = [];
            for (let x = Math.round(from); x < Math.round(to); x++) {
              let n = 0;
              for (let y = 0; y <= high; y++) {
                if (y < high && ink[y * wide + x]) n++;
                else if (n) {
                  thick.push(n);
                  n = 0;
                }
              }
            }
            thick.sort((a, b) => a - b);
            thin = thick.length ? thick[Math.floor(thick.length * (cell.state === 'covered' ? 0.5 : 0.1))] : 0;
          } else {
            // The middle of the sign, then the strips over and under it.
            const body = cell.kind === 'lug' ? [cell.half[0] * 0.7, cell.half[1] * 0.4] : cell.kind === 'clamp' ? [cell.half[0] * 0.7, cell.half[1] * 0.6] : [Math.min(...cell.half, 1.8) * 0.72, Math.min(...cell.half, 1.8) * 0.72];
            let [n, of] = [0, 0];
            for (let y = Math.round(midY - body[1] * k); y < midY + body[1] * k; y++)
              for (let x = Math.round(midX - body[0] * k); x < midX + body[0] * k; x++) {
                of++;
                n += ink[y * wide + x];
              }
            const reach = (cell.half[0] + 0.4) * k;
            const bank = (y) => runs(y, midX - reach, midX + reach).some((r) => r > (2 * reach) / k * 0.9);
            const tick = (y) => runs(y, 0, wide).length === 3;
            const banks = rows(-cell.half[1] - 1.1, -cell.half[1] - 0.2, bank) && rows(cell.half[1] + 0.2, cell.half[1] + 1.1, bank);
            const ticks = rows(cell.half[1] + 0.6, cell.half[1] + 1.4, tick);
            const full = n / of > 0.55;
            // The middle alone: where a sign is small its frame is most of it.
            const core = Math.min(...cell.half, 1.8) * 0.5 * k;
            let [m, all] = [0, 0];
            for (let y = Math.round(midY - core); y < midY + core; y++) for (let x = Math.round(midX - core); x < midX + core; x++) {
              all++;
              m += ink[y * wide + x];
            }
            fill = m / all;
            state = full && ticks && !banks ? 'covered' : full && !banks ? 'in' : !full && banks && !ticks ? 'open' : !full && !banks && !ticks ? 'planned' : `? ${full ? 'full' : 'hollow'}${banks ? ' banks' : ''}${ticks ? ' ticks' : ''} ${(n / of).toFixed(2)}`;
          }
          return { state, most, thin, fill };
        });
      }
      done(out);
    };
    img.src = picture;
  });
}

// Plain grey, and what Machado, Oliveira and Fernandes give for eyes without
// one of the three cones (2009, severity 1; the figures from memory), each then
// seen as grey.
const ways = {
  grey: [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
  protan: [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
  deutan: [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.01182, 0.04294, 0.968881]],
  tritan: [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.3039]],
};

async function read(page, scale, which) {
  const place = await page.evaluate(() => {
    const svg = document.querySelector('.area svg.sketch');
    const m = svg.getScreenCTM();
    const c = document.createElement('canvas').getContext('2d');
    c.fillStyle = getComputedStyle(document.documentElement).getPropertyValue('--paper').trim();
    c.fillRect(0, 0, 1, 1);
    return { x: m.e, y: m.f, k: m.a, paper: [...c.getImageData(0, 0, 1, 1).data].slice(0, 3) };
  });
  const shot = (await page.screenshot()).toString('base64');
  const other = await page.context().newPage();
  const out = await other.evaluate(looked, {
    picture: `data:image/png;base64,${shot}`, cells: signs.cells, px: { x: place.x * scale, y: place.y * scale, k: place.k * scale }, paper: place.paper, ways: which,
  });
  await other.close();
  return { out, k: place.k };
}

export async function signSteps(browser, from, figures) {
  for (const scale of [1, 4]) {
    await step(scale === 1 ? 'planned, open, in and covered are told apart without colour, in every light' : 'every line alone on the sketch is strong and wide enough, in every light', async () => {
      const page = await laid(browser, from, scale);
      const bad = [];
      const f = (figures.signs ??= {});
      for (const l of lights) {
        await light(page, l);
        await page.mouse.move(5, 5);
        await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
        const { out, k } = await read(page, scale, scale === 1 ? ways : { grey: ways.grey });
        if (scale === 1) await page.screenshot({ path: `${shots}looks-signs-${l}.png` });
        let right = 0;
        let of = 0;
        for (const [way, got] of Object.entries(out))
          got.forEach((g, n) => {
            const c = signs.cells[n];
            if (scale === 1) {
              if (!c.state) return;
              of++;
              // A trench holds what is in: it is open until it is covered.
              const wanted = c.kind === 'trench' && c.state === 'in' ? 'open' : c.state;
              if (g.state === wanted) right++;
              else bad.push(`${l}, ${way}: ${c.kind} ${c.state} reads as ${g.state}`);
            } else {
              if (g.most < 4.5) bad.push(`${l}: ${c.kind} ${c.state} ${g.most.toFixed(2)}:1`);
              const thin = g.thin / scale;
              if (c.line && thin < (l === 'sun' ? 2.5 : 1.5) - 0.13) bad.push(`${l}: ${c.kind} ${c.state} ${thin.toFixed(2)} px`);
              f.line = Math.min(f.line ?? 99, Math.round(g.most * 100) / 100);
            }
          });
        if (scale === 1) {
          want(k * 3.6 > 22 && k * 3.6 < 32, `a sign is ${(k * 3.6).toFixed(1)} px`);
          f[l] = `${right} of ${of}`;
          want(of > 250, `${of} signs were looked at`);
        }
      }
      await page.context().close();
      same([...new Set(bad)].slice(0, 24), [], `${bad.length} signs`);
    }, 120);
  }
  await step('hollow and solid are told apart in grey where a sign is 8 to 16 px, in every light', async () => {
    const page = await laid(browser, from, 1);
    const bad = [];
    const sizes = [];
    let of = 0;
    for (let i = 0; i < 4; i++) {
      await page.locator('.tools button').nth(1).click();
      for (const l of lights) {
        await light(page, l);
        await page.mouse.move(5, 5);
        await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
        const { out, k } = await read(page, 1, { grey: ways.grey });
        const px = k * 3.6;
        if (px < 7.5 || px > 18) continue;
        sizes.push(Math.round(px));
        out.grey.forEach((g, n) => {
          const c = signs.cells[n];
          if (c.line || !['planned', 'in'].includes(c.state) || ['lug', 'clamp', 'whip end'].includes(c.kind)) return; // a whip's own line is dashed or solid too
          of++;
          if (c.state === 'planned' ? g.fill > 0.45 : g.fill < 0.55) bad.push(`${l}, ${px.toFixed(0)} px: ${c.kind} ${c.state} is ${Math.round(g.fill * 100)} % ink`);
        });
      }
    }
    await page.context().close();
    want(Math.min(...sizes) <= 9 && Math.max(...sizes) >= 11 && of > 60, `${of} signs at ${[...new Set(sizes)]} px`);
    figures.smallSigns = `${of - bad.length} of ${of}`;
    same([...new Set(bad)].slice(0, 24), [], `${bad.length} of ${of} signs`);
  }, 120);
}
