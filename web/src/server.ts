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
// it needs one.
function token(): string {
  const m = /(?:^#|[#&])t=([^&]+)/.exec(location.hash);
  if (m?.[1]) {
    sessionStorage.setItem('token', m[1]);
    history.replaceState(null, '', location.pathname + location.search + '#/');
  }
  return sessionStorage.getItem('token') ?? '';
}

async function ask<T>(path: string, init: RequestInit = {}): Promise<T> {
  const headers = new Headers(init.headers);
  const t = token();
  if (t) headers.set('Stubup-Token', t);
  let r: Response;
  try {
    r = await fetch(`./api/${path}`, { ...init, headers, cache: 'no-store' });
  } catch {
    throw new NoServer('no signal');
  }
  const type = r.headers.get('Content-Type') ?? '';
  if (!type.includes('json')) throw new NoServer('no server here');
  const j = (await r.json()) as T & { detail?: string; title?: string; mend?: string; kind?: string; heads?: string[] };
  if (!r.ok) throw new Refused({ kind: j.kind ?? 'failed', what: j.detail ?? j.title ?? `the server said ${r.status}`, mend: j.mend ?? 'try it again later', heads: j.heads });
  return j;
}

const json = (body: unknown): RequestInit => ({ method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) });

export const list = async () => (await ask<{ sites: ServerSite[] }>('sites')).sites;
export const fetchSite = (id: string) => ask<{ site: ServerSite; revision: { id: string }; text: string }>(`sites/${encodeURIComponent(id)}`);
export const create = (text: string, at: string) =>
  ask<{ site: ServerSite; revision: { id: string } }>(`sites?draft=yes&at=${encodeURIComponent(at)}`, { method: 'POST', headers: { 'Content-Type': 'application/yaml' }, body: text });
export const append = (id: string, parent: string, text: string, sentence: string, at: string, beside = false) =>
  ask<{ revision: { id: string } }>(`sites/${encodeURIComponent(id)}/revisions`, json({ parents: [parent], text, sentence, at, beside }));
export type ServerFile = { name: string; type: string; stage: string };
export const files = async (id: string) => (await ask<{ files: ServerFile[] }>(`sites/${encodeURIComponent(id)}/files`)).files;

// file fetches one file that the server writes; by fetch and not by a link,
// since a token may be asked for.
export async function file(id: string, name: string): Promise<Blob> {
  const t = token();
  let r: Response;
  try {
    r = await fetch(`./api/sites/${encodeURIComponent(id)}/files/${encodeURIComponent(name)}`, { cache: 'no-store', headers: t ? { 'Stubup-Token': t } : {} });
  } catch {
    throw new NoServer('no signal');
  }
  if (!r.ok) {
    const j = (await r.json().catch(() => ({}))) as { detail?: string; mend?: string; kind?: string };
    throw new Refused({ kind: j.kind ?? 'failed', what: j.detail ?? `the server said ${r.status}`, mend: j.mend ?? 'try it again later' });
  }
  return r.blob();
}
