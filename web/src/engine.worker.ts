// The engine in its worker: one document, asked one call at a time.
import './generated/wasm_exec.js';
import { instance } from './instance';

declare const self: DedicatedWorkerGlobalScope & {
  Go: new () => { importObject: WebAssembly.Imports; run(i: WebAssembly.Instance): Promise<void> };
  stubupReady?: () => void;
  stubupEngine?: { version: string; call(name: string, arg: string): string };
};

// Begin says where the engine is and how many bytes it has; none where nothing
// is to be told of its coming.
export type Begin = { start: string; bytes: number };
export type Ask = { n: number; name: string; arg: string };
export type Tell = { n: number; out: string; ms: number } | { ready: string } | { broken: string } | { part: number };

async function start(url: string, bytes: number) {
  const go = new self.Go();
  const ready = new Promise<void>((done) => (self.stubupReady = done));
  let last = 0;
  const told = (n: number) => {
    const part = Math.min(1, Math.floor((100 * n) / bytes) / 100);
    if (part > last) self.postMessage({ part: (last = part) } satisfies Tell);
  };
  const i = await instance(url, go.importObject, bytes > 0 ? told : undefined);
  void go.run(i).then(() => self.postMessage({ broken: 'the engine ended' } satisfies Tell));
  await ready;
  self.postMessage({ ready: self.stubupEngine?.version ?? '' } satisfies Tell);
}

self.onmessage = (e: MessageEvent<Ask | Begin>) => {
  if ('start' in e.data) {
    start(e.data.start, e.data.bytes).catch((err: unknown) => self.postMessage({ broken: String(err) } satisfies Tell));
    return;
  }
  const { n, name, arg } = e.data;
  const t = performance.now();
  const out = self.stubupEngine?.call(name, arg) ?? '{"problem":{"what":"the engine is not ready","mend":"wait for it"}}';
  self.postMessage({ n, out, ms: performance.now() - t } satisfies Tell);
};
