// The engine in its worker: one document, asked one call at a time.
import './generated/wasm_exec.js';
import { instance } from './instance';

declare const self: DedicatedWorkerGlobalScope & {
  Go: new () => { importObject: WebAssembly.Imports; run(i: WebAssembly.Instance): Promise<void> };
  stubupReady?: () => void;
  stubupEngine?: { version: string; call(name: string, arg: string): string };
};

export type Ask = { n: number; name: string; arg: string };
export type Tell = { n: number; out: string; ms: number } | { ready: string } | { broken: string };

async function start(url: string) {
  const go = new self.Go();
  const ready = new Promise<void>((done) => (self.stubupReady = done));
  const i = await instance(url, go.importObject);
  void go.run(i).then(() => self.postMessage({ broken: 'the engine ended' } satisfies Tell));
  await ready;
  self.postMessage({ ready: self.stubupEngine?.version ?? '' } satisfies Tell);
}

self.onmessage = (e: MessageEvent<Ask | { start: string }>) => {
  if ('start' in e.data) {
    start(e.data.start).catch((err: unknown) => self.postMessage({ broken: String(err) } satisfies Tell));
    return;
  }
  const { n, name, arg } = e.data;
  const t = performance.now();
  const out = self.stubupEngine?.call(name, arg) ?? '{"problem":{"what":"the engine is not ready","mend":"wait for it"}}';
  self.postMessage({ n, out, ms: performance.now() - t } satisfies Tell);
};
