// Keeps one whole build of the pages on the device, so that all of it opens
// without a signal. A newer build is fetched beside the old one and waits: it
// is taken when no page is open any more, or when a page asks for it and every
// open page says that nothing is being written and nothing is unsent.
//
// A page asks by posting {take: true} to registration.waiting, with a port.
// Each open page is then asked {free: true} with a port of its own and answers
// {free: true} or {free: false, why: '...'}. No answer counts as not free. The
// asking page hears {taken: true} or {taken: false, why: '...'}; after taking,
// every page hears "controllerchange" and loads itself again.
const build = '__BUILD__';
const files = __FILES__;
// What is large and seldom wanted is fetched once the pages are there, and kept
// from then on: a first visit does not wait for it.
const later = __LATER__;
const prefix = 'stubup-';
const own = prefix + build;
const root = new URL('./', self.location.href);
const key = (name) => new URL(name, root).href;

const hash = async (bytes) => [...new Uint8Array(await crypto.subtle.digest('SHA-256', bytes))].map((b) => b.toString(16).padStart(2, '0')).join('');

// keepOne takes a file from an older build when it is the same file, and says
// whether it was there.
async function keepOne(cache, older, name) {
  for (const c of older) {
    const kept = await c.match(key(name));
    if (!kept || (await hash(await kept.clone().arrayBuffer())) !== files[name]) continue;
    await cache.put(key(name), kept);
    return true;
  }
  return false;
}

// fetchOne takes a file from an older build, else from the server. A file that is not the listed one (the server changed
// builds in between) fails the install; the browser tries again later.
async function fetchOne(cache, older, name) {
  if (await keepOne(cache, older, name)) return;
  const r = await fetch(key(name), { cache: 'no-cache' });
  if (!r.ok || (await hash(await r.clone().arrayBuffer())) !== files[name]) throw new Error(`${name} is not the file of this build`);
  await cache.put(key(name), r);
}

self.addEventListener('install', (e) => {
  e.waitUntil((async () => {
    const names = (await caches.keys()).filter((n) => n.startsWith(prefix) && n !== own);
    const older = await Promise.all(names.map((n) => caches.open(n)));
    const cache = await caches.open(own);
    try {
      for (const name of Object.keys(files)) if (!later.includes(name)) await fetchOne(cache, older, name);
      for (const name of later) await keepOne(cache, older, name);
    } catch (err) {
      await caches.delete(own);
      throw err;
    }
  })());
});

self.addEventListener('activate', (e) => {
  e.waitUntil((async () => {
    for (const n of await caches.keys()) if (n.startsWith(prefix) && n !== own) await caches.delete(n);
    await self.clients.claim();
  })());
});

self.addEventListener('fetch', (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== 'GET' || !url.href.startsWith(root.href)) return;
  let name = decodeURIComponent(url.pathname.slice(root.pathname.length));
  if (name === '') name = 'index.html';
  if (!Object.hasOwn(files, name)) return;
  e.respondWith((async () => {
    const cache = await caches.open(own);
    const kept = await cache.match(key(name));
    if (kept || !later.includes(name)) return kept ?? fetch(e.request);
    await fetchOne(cache, [], name);
    return cache.match(key(name));
  })());
});

function askPage(page) {
  return new Promise((done) => {
    const { port1, port2 } = new MessageChannel();
    const late = setTimeout(() => done({ free: false, why: 'another page does not answer' }), 1000);
    port1.onmessage = (e) => {
      clearTimeout(late);
      done(e.data);
    };
    page.postMessage({ free: true }, [port2]);
  });
}

self.addEventListener('message', (e) => {
  if (!e.data?.take) return;
  e.waitUntil((async () => {
    const pages = await self.clients.matchAll({ type: 'window', includeUncontrolled: true });
    const answers = await Promise.all(pages.map(askPage));
    const busy = answers.find((a) => a?.free !== true);
    if (!busy) await self.skipWaiting();
    e.ports[0]?.postMessage(busy ? { taken: false, why: busy.why ?? 'a page is in the middle of something' } : { taken: true });
  })());
});
