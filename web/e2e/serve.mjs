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

// serve answers with {url, swap, close}; swap serves another folder from then
// on, as a newer program would.
export function serve(dir) {
  let root = dir;
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
    const gzip = /\bgzip\b/.test(req.headers['accept-encoding'] ?? '') && there(`${path}.gz`);
    const body = gzip ? readFileSync(`${path}.gz`) : there(path) ? readFileSync(path) : gunzipSync(readFileSync(`${path}.gz`));
    const etag = `"${createHash('sha256').update(body).digest('hex').slice(0, 32)}"`;
    res.setHeader('Content-Type', types[extname(path)]);
    res.setHeader('Cache-Control', name.startsWith('assets/') ? 'public, max-age=31536000, immutable' : 'no-cache');
    res.setHeader('ETag', etag);
    res.setHeader('Vary', 'Accept-Encoding');
    if (gzip) res.setHeader('Content-Encoding', 'gzip');
    if (req.headers['if-none-match'] === etag) {
      res.writeHead(304);
      return res.end();
    }
    res.setHeader('Content-Length', body.length);
    res.writeHead(200);
    res.end(req.method === 'HEAD' ? undefined : body);
  });
  return new Promise((done) =>
    server.listen(0, '127.0.0.1', () =>
      done({
        url: `http://127.0.0.1:${server.address().port}/`,
        swap: (d) => (root = d),
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
