// The pages from the command itself, on a free port and a folder of its own.
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const freePort = () =>
  new Promise((done) => {
    const s = createServer().listen(0, '127.0.0.1', () => {
      const { port } = s.address();
      s.close(() => done(port));
    });
  });

// started starts the command; before it may stand a command that it runs under.
export async function started(bin, under = []) {
  const data = mkdtempSync(join(tmpdir(), 'stubup-serve-'));
  const addr = `127.0.0.1:${await freePort()}`;
  let said = '';
  const [first, ...rest] = [...under, bin, 'serve', '--addr', addr, '--data', data];
  const p = spawn(first, rest, { stdio: ['ignore', 'pipe', 'pipe'] });
  for (const s of [p.stdout, p.stderr]) s.on('data', (d) => (said += d));
  const ended = new Promise((done) => p.on('exit', done));
  const end = Date.now() + 20000;
  for (;;) {
    const up = await fetch(`http://${addr}/healthz`).then((r) => r.ok, () => false);
    if (up) break;
    if (p.exitCode !== null || Date.now() > end) throw new Error(`the server did not start: ${said}`);
    await new Promise((r) => setTimeout(r, 100));
  }
  // The address that was printed may carry a token in its fragment.
  const url = /https?:\/\/\S+/.exec(said)?.[0] ?? `http://${addr}/`;
  return {
    url,
    swap() {},
    async close() {
      p.kill('SIGTERM');
      await ended;
      rmSync(data, { recursive: true, force: true });
    },
  };
}
