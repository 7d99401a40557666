// Every call to a server is here. Without one, all of this answers "none" and
// the sites stay on this device.
export type ServerSite = { id: string; name: string; example: boolean; head: string; heads: string[]; revisions: number; changed: string };
export type Trouble = { kind: string; what: string; mend: string; heads?: string[] };

export class Refused extends Error {
  constructor(readonly trouble: Trouble) {
    super(`${trouble.what}. ${trouble.mend}`);
  }
}
export class NoServer extends Error {}

// The token is in the fragment of the address that the server printed, where
// it needs one. It is taken out of the address before anything is shown.
function token(): string {
  const m = /(?:^#|[#&])t=([^&]+)/.exec(location.hash);
  if (m?.[1]) {
    sessionStorage.setItem('token', m[1]);
    history.replaceState(null, '', location.pathname + location.search + '#/');
  }
  return sessionStorage.getItem('token') ?? '';
}
token();

// clockOff is how far this device's clock is ahead of the server's, in
// milliseconds, as well as the last answer told; null before one did.
export let clockOff: number | null = null;
const muchOff = 5 * 60_000;
export const clockWrong = () => (clockOff !== null && Math.abs(clockOff) > muchOff ? clockOff : null);

const patience = 60_000; // for one answer

async function answer(path: string, init: RequestInit = {}): Promise<Response> {
  const headers = new Headers(init.headers);
  const t = token();
  if (t) headers.set('Stubup-Token', t);
  const began = Date.now();
  let r: Response;
  try {
    r = await fetch(`./api/${path}`, { ...init, headers, cache: 'no-store', signal: AbortSignal.timeout(patience) });
  } catch {
    throw new NoServer('no signal');
  }
  // The server's second is a whole one: half of it, and half of the way.
  const theirs = Date.parse(r.headers.get('Date') ?? '');
  if (!Number.isNaN(theirs)) clockOff = (began + Date.now()) / 2 - theirs - 500;
  return r;
}

async function ask<T>(path: string, init: RequestInit = {}): Promise<T> {
  const r = await answer(path, init);
  const type = r.headers.get('Content-Type') ?? '';
  if (!type.includes('json')) throw new NoServer('no server here');
  let j: T & { detail?: string; title?: string; mend?: string; kind?: string; heads?: string[] };
  try {
    j = (await r.json()) as typeof j;
  } catch {
    throw new NoServer('the answer broke off');
  }
  if (!r.ok) throw new Refused({ kind: j.kind ?? 'failed', what: j.detail ?? j.title ?? `the server said ${r.status}`, mend: j.mend ?? 'try it again later', heads: j.heads });
  return j;
}

// Every write carries the id that was made for it on this device: where its
// answer is lost, the same again is written once.
const post = (body: string, type: string, request: string): RequestInit => ({ method: 'POST', headers: { 'Content-Type': type, 'Idempotency-Key': request }, body });

export const list = async () => (await ask<{ sites: ServerSite[] }>('sites')).sites;
export const fetchSite = (id: string) => ask<{ site: ServerSite; revision: { id: string }; text: string }>(`sites/${encodeURIComponent(id)}`);
export const create = (text: string, at: string, sentence: string, request: string) =>
  ask<{ site: ServerSite; revision: Kept }>(`sites?draft=yes&at=${encodeURIComponent(at)}&sentence=${encodeURIComponent(sentence)}`, post(text, 'application/yaml', request));
export const append = (id: string, parent: string, text: string, sentence: string, at: string, beside: boolean, request: string) =>
  ask<{ revision: Kept }>(`sites/${encodeURIComponent(id)}/revisions`, post(JSON.stringify({ parents: [parent], text, sentence, at, beside }), 'application/json', request));
export type Kept = { id: string; document: string };
export type ServerFile = { name: string; type: string; stage: string };
export const files = async (id: string) => (await ask<{ files: ServerFile[] }>(`sites/${encodeURIComponent(id)}/files`)).files;

// file fetches one file that the server writes; by fetch and not by a link,
// since a token may be asked for.
export async function file(id: string, name: string): Promise<Blob> {
  const r = await answer(`sites/${encodeURIComponent(id)}/files/${encodeURIComponent(name)}`);
  if (!r.ok) {
    const j = (await r.json().catch(() => ({}))) as { detail?: string; mend?: string; kind?: string };
    throw new Refused({ kind: j.kind ?? 'failed', what: j.detail ?? `the server said ${r.status}`, mend: j.mend ?? 'try it again later' });
  }
  return r.blob();
}
