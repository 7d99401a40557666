// PDF and XLSX, written on this device.
import { Problem } from './engine';
import type { PaperAsk, PaperTell } from './paper.worker';

// What each room hands out as paper, with its type.
export const papers: Record<string, { name: string; type: string }[]> = {
  order: [{ name: 'order.xlsx', type: 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet' }],
  handover: [{ name: 'handover.pdf', type: 'application/pdf' }],
};

const url = () => new URL('paper.wasm', document.baseURI).href;

// paper writes one file of the site as it stands.
export function paper(site: { name: string; text: string; asOf: string }, stage: string, file: string): Promise<Blob> {
  const worker = new Worker(new URL('./paper.worker.ts', import.meta.url), { type: 'module' });
  return new Promise<Blob>((done, fail) => {
    const broken = (what: string) => fail(new Problem(`${file} could not be written: ${what}`, 'open the page once with a signal, so that this device has what writes it; the tables can be taken out as CSV at any time'));
    worker.onmessage = (e: MessageEvent<PaperTell>) => {
      if ('bytes' in e.data) done(new Blob([e.data.bytes], { type: papers[stage]?.find((p) => p.name === file)?.type ?? '' }));
      else broken(e.data.broken);
    };
    worker.onerror = (e) => broken(e.message || 'it did not start');
    worker.postMessage({ url: url(), stage, file, ...site } satisfies PaperAsk);
  }).finally(() => worker.terminate());
}

// fetchAhead has the service worker keep what writes paper, once the pages rest.
export async function fetchAhead(): Promise<void> {
  if (!navigator.serviceWorker?.controller) return;
  await fetch(url()).then((r) => r.body?.cancel()).catch(() => {});
}
