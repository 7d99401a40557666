// A bad link: passes what a page asks on to a server, and cuts what it is told
// to cut. It stands on an address of its own and names the server's as host.
import { createServer, request } from 'node:http';

export const cuts = ['before', 'request', 'after', 'answer'];

// badLink answers with {url, close}; cut(req) says for each request whether it
// goes through ('') or where it ends: before the server hears of it, in the
// middle of what is sent, after the server has answered, or in the middle of
// the answer.
export function badLink(to, cut) {
  const target = new URL(to);
  const server = createServer((req, res) => {
    const parts = [];
    req.on('error', () => {});
    req.on('data', (d) => parts.push(d));
    req.on('end', () => {
      const body = Buffer.concat(parts);
      const where = cut(req) ?? '';
      if (where === 'before') return req.socket.destroy();
      const headers = { ...req.headers, host: target.host };
      if (headers.origin) headers.origin = target.origin;
      delete headers.connection;
      const up = request({ host: target.hostname, port: target.port, method: req.method, path: req.url, headers, agent: false }, (back) => {
        const got = [];
        back.on('data', (d) => got.push(d));
        back.on('error', () => req.socket.destroy());
        back.on('end', () => {
          const answer = Buffer.concat(got);
          if (where === 'after') return req.socket.destroy();
          const head = { ...back.headers };
          delete head['transfer-encoding'];
          delete head.connection;
          if (req.method !== 'HEAD' && back.statusCode !== 304) head['content-length'] = answer.length;
          res.writeHead(back.statusCode, head);
          if (where !== 'answer') return res.end(answer);
          res.write(answer.subarray(0, Math.max(1, answer.length >> 1)), () => setTimeout(() => req.socket.destroy(), 10));
        });
      });
      up.on('error', () => req.socket.destroy());
      if (where !== 'request') return up.end(body);
      up.write(body.subarray(0, body.length >> 1), () => {
        setTimeout(() => {
          up.destroy();
          req.socket.destroy();
        }, 10);
      });
    });
  });
  return new Promise((done) =>
    server.listen(0, '127.0.0.1', () => done({ url: `http://127.0.0.1:${server.address().port}/`, close: () => new Promise((end) => (server.closeAllConnections(), server.close(end))) })),
  );
}

// chance gives numbers in [0, 1) that are the same for the same seed.
export function chance(seed) {
  let x = seed >>> 0;
  return () => {
    x = (x + 0x6d2b79f5) >>> 0;
    let t = Math.imul(x ^ (x >>> 15), 1 | x);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}
