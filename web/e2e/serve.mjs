// Serves web/dist as the command does: the same headers, the same rule for
// packed files, no page behind any other path. It knows no sites, so the pages
// see what they see where no server is.
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, statSync } from 'node:fs';
import { createServer } from 'node:http';
import { extname, join, normalize } from 'node:path';
import { gunzipSync } from 'node:zlib';

const types = {
  '.html': 'text/html; charset=utf-8', '.js': 'text/javascript; charset=utf-8', '.css': 'text/css; charset=utf-8', '.svg': 'image/svg+xml',
  '.png': 'image/png', '.wasm': 'application/wasm', '.webmanifest': 'application/manifest+json', '.json': 'application/json',
  '.woff2': 'font/woff2', '.ttf': 'font/ttf', '.txt': 'text/plain; charset=utf-8', '.yaml': 'text/plain; charset=utf-8',
};
export const headers = {
  'Content-Security-Policy':
    "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; style-src 'self'; img-src 'self' blob: data:; font-src 'self'; connect-src 'self'; manifest-src 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; form-action 'self'",
  'X-Content-Type-Options': 'nosniff',
  'Referrer-Policy': 'no-referrer',
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Resource-Policy': 'same-origin',
};

// signal sends bodies as a poor signal does: so many bytes a second for all
// of them together, each after a while. What a page asks for and what its
// workers ask for wait for the same signal.
function signal({ bytes, latency }) {
  const sleep = (ms) => new Promise((done) => setTimeout(done, ms));
  let free = 0;
  return async (res, body) => {
    await sleep(latency);
    for (let i = 0; i < body.length && !res.destroyed; i += 4096) {
      const part = body.subarray(i, i + 4096);
      free = Math.max(free, Date.now()) + (part.length / bytes) * 1000;
      await sleep(free - Date.now());
      res.write(part);
    }
    res.end();
  };
}

// serve answers with {url, swap, pace, close}; swap serves another folder from
// then on, as a newer program would, and pace another signal.
export function serve(dir) {
  let root = dir;
  let send = (res, body) => res.end(body);
  const server = createServer((req, res) => {
    for (const [k, v] of Object.entries(headers)) res.setHeader(k, v);
    let name = decodeURIComponent(new URL(req.url, 'http://x').pathname).slice(1);
    if (name.startsWith('api/')) {
      res.writeHead(404, { 'Content-Type': 'text/plain', 'Cache-Control': 'no-store' });
      return res.end('no such door\n');
    }
    if (name === '') name = 'index.html';
    const path = normalize(join(root, name));
    const there = (p) => p.startsWith(root) && existsSync(p) && statSync(p).isFile();
    if (!types[extname(path)] || (!there(path) && !there(`${path}.gz`))) {
      res.writeHead(404, { 'Content-Type': 'text/plain' });
      return res.end('not here\n');
    }
    const takes = req.headers['accept-encoding'] ?? '';
    const packed = [['br', '.br'], ['gzip', '.gz']].find(([how, end]) => takes.includes(how) && there(path + end));
    const body = packed ? readFileSync(path + packed[1]) : there(path) ? readFileSync(path) : gunzipSync(readFileSync(`${path}.gz`));
    const etag = `"${createHash('sha256').update(body).digest('hex').slice(0, 32)}"`;
    res.setHeader('Content-Type', types[extname(path)]);
    res.setHeader('Cache-Control', name.startsWith('assets/') ? 'public, max-age=31536000, immutable' : 'no-cache');
    res.setHeader('ETag', etag);
    res.setHeader('Vary', 'Accept-Encoding');
    if (packed) res.setHeader('Content-Encoding', packed[0]);
    if (req.headers['if-none-match'] === etag) {
      res.writeHead(304);
      return res.end();
    }
    res.setHeader('Content-Length', body.length);
    res.writeHead(200);
    if (req.method === 'HEAD') res.end();
    else void send(res, body);
  });
  return new Promise((done) =>
    server.listen(0, '127.0.0.1', () =>
      done({
        url: `http://127.0.0.1:${server.address().port}/`,
        swap: (d) => (root = d),
        pace: (how) => (send = signal(how)),
        close: () => new Promise((end) => (server.closeAllConnections(), server.close(end))),
      }),
    ),
  );
}

// Run by itself it serves dist until it is stopped.
if (process.argv[1] === new URL(import.meta.url).pathname) {
  const s = await serve(new URL('../dist', import.meta.url).pathname);
  console.log(s.url);
}
