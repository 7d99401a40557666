// Writes one PDF or XLSX in a worker of its own and ends: its fonts and
// writers are large, and wanted once in a while.
import './generated/wasm_exec.js';
import { instance } from './instance';

declare const self: DedicatedWorkerGlobalScope & {
  Go: new () => { importObject: WebAssembly.Imports; run(i: WebAssembly.Instance): Promise<void> };
  stubupReady?: () => void;
  stubupPaper?: { write(name: string, text: string, asOf: string, stage: string, file: string): Uint8Array<ArrayBuffer> | string };
};

export type PaperAsk = { url: string; name: string; text: string; asOf: string; stage: string; file: string };
export type PaperTell = { bytes: Uint8Array<ArrayBuffer> } | { broken: string };

self.onmessage = async (e: MessageEvent<PaperAsk>) => {
  const { url, name, text, asOf, stage, file } = e.data;
  try {
    const go = new self.Go();
    const ready = new Promise<void>((done) => (self.stubupReady = done));
    void go.run(await instance(url, go.importObject));
    await ready;
    const out = self.stubupPaper!.write(name, text, asOf, stage, file);
    if (typeof out === 'string') self.postMessage({ broken: out } satisfies PaperTell);
    else self.postMessage({ bytes: out } satisfies PaperTell, [out.buffer]);
  } catch (err) {
    self.postMessage({ broken: String(err) } satisfies PaperTell);
  }
};
