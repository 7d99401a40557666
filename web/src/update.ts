// A newer build of the pages waits until a person takes it. Every open page is
// asked first; one in the middle of something says so, and nothing is loaded.

// answer tells the worker whether this page can be loaded again: why not, or
// nothing.
export function answer(why: () => string): void {
  navigator.serviceWorker?.addEventListener('message', (e: MessageEvent<{ free?: boolean }>) => {
    if (!e.data?.free) return;
    const no = why();
    e.ports[0]?.postMessage(no ? { free: false, why: no } : { free: true });
  });
  navigator.serviceWorker?.startMessages();
  // The first worker of a device takes the page too; that is no newer build.
  let had = !!navigator.serviceWorker?.controller;
  navigator.serviceWorker?.addEventListener('controllerchange', () => {
    // No worker any more: the device was cleared. What is open stays open, and
    // is kept again.
    const has = !!navigator.serviceWorker.controller;
    if (had && has) location.reload();
    had = has;
  });
}

// watch tells when a newer build waits.
export async function watch(told: (waiting: boolean) => void): Promise<void> {
  const reg = await navigator.serviceWorker?.getRegistration();
  if (!reg) return;
  const look = () => told(!!reg.waiting && !!navigator.serviceWorker.controller);
  look();
  reg.addEventListener('updatefound', () => reg.installing?.addEventListener('statechange', look));
}

// take asks for the newer build; it answers why not, or nothing.
export async function take(): Promise<string> {
  const reg = await navigator.serviceWorker?.getRegistration();
  if (!reg?.waiting) return '';
  const { port1, port2 } = new MessageChannel();
  const told = new Promise<{ taken: boolean; why?: string }>((done) => (port1.onmessage = (e) => done(e.data)));
  reg.waiting.postMessage({ take: true }, [port2]);
  const { taken, why } = await told;
  return taken ? '' : (why ?? '');
}
