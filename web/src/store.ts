// What this device keeps: sites, the last results, what is not yet sent, and
// what is half written. A change counts as kept only once it is on the disk.
import { openDB, type DBSchema, type IDBPDatabase, type StoreNames } from 'idb';
import type { Edit } from './engine';
import type { Screen } from './parts';

export type SiteRow = {
  id: string; name: string; revision: string; text: string; created: string; changed: string;
  last?: string; // the sentence of the last change
  turn?: number; // counts what is kept on this device: the order, whatever the clock says
  server?: { site: string; head: string }; // where it stands on the server
};
export type OutRow = {
  n?: number; site: string; at: string; sentence: string; edits: Edit[]; text: string;
  request?: string; // made once, so that the server writes it once
  tried?: { parent: string; beside: boolean }; // went out so, and no answer was heard
};
export type ResultRow = { site: string; stage: string; screen: Screen };
// What was half written when it was last seen: a thing being drawn, fields
// being typed, and what was picked then.
export type Drawing = { noun: string; places: [number, number][]; typed: Record<string, string>; phrase: string; end: string; rule: string; on: string };
export type Field = { label: string; value: string };
export type DraftRow = { site: string; at: string; room: string; picked: string[]; fields: Field[]; drawing?: Drawing };
export type FactRow = { key: string; n?: number; at?: string; page?: string };
// A record that is there and does not read as what it should be.
export type Damaged = { store: string; key: IDBValidKey; value: unknown };

interface Shape extends DBSchema {
  sites: { key: string; value: SiteRow };
  results: { key: [string, string]; value: ResultRow };
  outbox: { key: number; value: OutRow; indexes: { site: string; request: string } };
  drafts: { key: string; value: DraftRow };
  facts: { key: string; value: FactRow };
}

// Numbers under nextFormat are this format; every mending takes the next one.
const version = 2;
const nextFormat = 100;
const names = ['sites', 'results', 'outbox', 'drafts', 'facts'] as const;
const strict = { durability: 'strict' } as const;
let db: Promise<IDBPDatabase<Shape>> | null = null;
const lost = new Set<() => void>();

// whenLost is called when the browser has closed the database, as it does when
// it clears what pages keep.
export function whenLost(f: () => void): () => void {
  lost.add(f);
  return () => lost.delete(f);
}

function open(): Promise<IDBPDatabase<Shape>> {
  db ??= connect(version)
    .catch((e: unknown) => {
      if (e instanceof DOMException && e.name === 'VersionError') return connect();
      throw e;
    })
    .catch((e: unknown) => {
      db = null; // the next call tries again
      throw e;
    });
  return db;
}

const heldBack = 'another tab, of an older build, holds it';

// connect opens the database; a store that is missing is made anew, the others
// stay as they are.
async function connect(v?: number): Promise<IDBPDatabase<Shape>> {
  let mine: IDBPDatabase<Shape> | null = null;
  const forget = () => {
    if (mine) mine.close();
    db = null;
  };
  // A page of an older build that does not let go is said; it is waited for no
  // longer than a person would.
  let held: ReturnType<typeof setTimeout> | undefined;
  let late = false;
  let refuse: (e: Error) => void = () => {};
  const refused = new Promise<never>((_, fail) => (refuse = (e) => ((late = true), fail(e))));
  const opening = openDB<Shape>('stubup', v, {
    upgrade(d, _was, _is, tx) {
      const has = (s: (typeof names)[number]) => d.objectStoreNames.contains(s);
      if (!has('sites')) d.createObjectStore('sites', { keyPath: 'id' });
      if (!has('results')) d.createObjectStore('results', { keyPath: ['site', 'stage'] });
      const out = has('outbox') ? tx.objectStore('outbox') : d.createObjectStore('outbox', { keyPath: 'n', autoIncrement: true });
      if (!out.indexNames.contains('site')) out.createIndex('site', 'site');
      if (!out.indexNames.contains('request')) out.createIndex('request', 'request');
      if (!has('drafts')) d.createObjectStore('drafts', { keyPath: 'site' });
      if (!has('facts')) d.createObjectStore('facts', { keyPath: 'key' });
    },
    // The browser may close a database, under memory pressure or since it is
    // cleared; the next call opens it again.
    terminated() {
      forget();
      for (const f of lost) f();
    },
    blocking: forget,
    blocked: () => void (held = setTimeout(() => refuse(new Error(heldBack)), 4000)),
  });
  opening.then((d) => late && d.close(), () => {});
  const d = await Promise.race([opening, refused]);
  clearTimeout(held);
  mine = d;
  if (d.version >= nextFormat) {
    d.close();
    throw new Error('what is kept here was written by a newer build; close all tabs of it and open the page again');
  }
  if (names.every((s) => d.objectStoreNames.contains(s)) && d.transaction('outbox').store.indexNames.contains('request')) return d;
  const mended = d.version + 1;
  d.close();
  return connect(mended);
}

export class NoRoom extends Error {}

// named says whether an error has one of these names.
export const named = (e: unknown, ...names: string[]) => typeof e === 'object' && e !== null && names.includes((e as { name?: string }).name ?? '');

// again runs f, once more with a fresh connection where the old one was lost.
// What f writes may be there already then: it writes the same twice as once.
async function again<T>(f: (d: IDBPDatabase<Shape>) => Promise<T>): Promise<T> {
  const first = open();
  try {
    return await f(await first);
  } catch (e) {
    if (named(e, 'QuotaExceededError')) throw new NoRoom('no room on this device');
    if (!named(e, 'InvalidStateError') && !(named(e, 'AbortError', 'UnknownError') && db !== first)) throw e;
    if (db === first) db = null;
    try {
      return await f(await open());
    } catch (e) {
      if (named(e, 'QuotaExceededError')) throw new NoRoom('no room on this device');
      throw e;
    }
  }
}

// Reading what may be damaged: each record is looked at for itself.
const isText = (x: unknown): x is string => typeof x === 'string';
const text = (x: unknown) => (isText(x) ? x : '');
const record = (x: unknown): x is Record<string, unknown> => typeof x === 'object' && x !== null && !Array.isArray(x);

export function siteOf(x: unknown): SiteRow | null {
  if (!record(x) || !isText(x['id']) || !isText(x['text'])) return null;
  const s = x['server'];
  if (s !== undefined && !(record(s) && isText(s['site']) && isText(s['head']))) return null;
  return {
    id: x['id'], name: text(x['name']), revision: text(x['revision']), text: x['text'], created: text(x['created']), changed: text(x['changed']), last: text(x['last']),
    turn: typeof x['turn'] === 'number' ? x['turn'] : 0, ...(record(s) ? { server: { site: text(s['site']), head: text(s['head']) } } : {}),
  };
}
export function outOf(x: unknown): OutRow | null {
  if (!record(x) || !isText(x['site']) || !isText(x['text'])) return null;
  const t = x['tried'];
  return {
    ...(typeof x['n'] === 'number' ? { n: x['n'] } : {}), site: x['site'], text: x['text'], at: text(x['at']), sentence: text(x['sentence']), edits: Array.isArray(x['edits']) ? (x['edits'] as Edit[]) : [],
    ...(isText(x['request']) ? { request: x['request'] } : {}), ...(record(t) && isText(t['parent']) ? { tried: { parent: t['parent'], beside: t['beside'] === true } } : {}),
  };
}
function draftOf(x: unknown): DraftRow | null {
  if (!record(x) || !isText(x['site']) || !Array.isArray(x['fields']) || !Array.isArray(x['picked'])) return null;
  const fields = (x['fields'] as unknown[]).filter((f): f is Field => record(f) && isText(f['label']) && isText(f['value']));
  const d = x['drawing'];
  const drawing = record(d) && isText(d['noun']) && Array.isArray(d['places']) && record(d['typed']) ? (d as Drawing) : undefined;
  return { site: x['site'], at: text(x['at']), room: text(x['room']), picked: (x['picked'] as unknown[]).filter(isText), fields, ...(drawing ? { drawing } : {}) };
}

// all reads every record of a store; one that the browser cannot read does not
// take the others with it.
async function all(d: IDBPDatabase<Shape>, name: StoreNames<Shape>): Promise<[IDBValidKey, unknown][]> {
  try {
    const tx = d.transaction(name);
    const [keys, values] = await Promise.all([tx.store.getAllKeys(), tx.store.getAll()]);
    return keys.map((k, i) => [k, values[i]]);
  } catch (e) {
    if (named(e, 'InvalidStateError', 'AbortError')) throw e;
    const out: [IDBValidKey, unknown][] = [];
    for (const k of await d.getAllKeys(name)) out.push([k, await d.get(name, k).catch((e: unknown) => String(e))]);
    return out;
  }
}

const order = (a: SiteRow, b: SiteRow) => (b.turn ?? 0) - (a.turn ?? 0) || (a.changed < b.changed ? 1 : -1);

// sites gives those that read, the one that was changed last first.
export const sites = () => again(async (d) => (await all(d, 'sites')).map(([, v]) => siteOf(v)).filter((s) => s !== null).sort(order));
export const site = (id: string) => again(async (d) => siteOf(await d.get('sites', id)) ?? undefined);

// damaged gives the records that do not read, as they are.
export const damaged = () =>
  again(async (d) => {
    const out: Damaged[] = [];
    for (const [key, value] of await all(d, 'sites')) if (!siteOf(value)) out.push({ store: 'sites', key, value });
    for (const [key, value] of await all(d, 'outbox')) if (!outOf(value)) out.push({ store: 'outbox', key, value });
    return out;
  });
export const dropDamaged = (x: Damaged) =>
  again(async (d) => {
    const tx = d.transaction(x.store as 'sites', 'readwrite', strict);
    await tx.store.delete(x.key as string);
    await tx.done;
  });

// keep writes a site and what was done to it in one transaction. Where there
// is no room, the last results go: they are worked out again.
export const keep = async (row: SiteRow, out: OutRow[] = []) => {
  const once = () =>
    again(async (d) => {
      const tx = d.transaction(['sites', 'outbox', 'facts'], 'readwrite', strict);
      try {
        const facts = tx.objectStore('facts');
        const turn = ((await facts.get('turn'))?.n ?? 0) + 1;
        await facts.put({ key: 'turn', n: turn });
        // Where the server stands is noted by what was sent, and by nothing else.
        const had = siteOf(await tx.objectStore('sites').get(row.id));
        await tx.objectStore('sites').put({ ...row, turn, ...(had?.server ? { server: had.server } : {}) });
        for (const o of out) {
          if (o.request && (await tx.objectStore('outbox').index('request').getKey(o.request)) !== undefined) continue;
          await tx.objectStore('outbox').add(o);
        }
        await tx.done;
      } catch (e) {
        tx.done.catch(() => {});
        throw e;
      }
    });
  try {
    await once();
  } catch (e) {
    if (!(e instanceof NoRoom)) throw e;
    await again((d) => d.clear('results')).catch(() => {});
    await once();
  }
};

export const keepResult = (row: ResultRow) =>
  again(async (d) => {
    const tx = d.transaction('results', 'readwrite');
    await tx.store.put(row);
    await tx.done;
  });

const isResult = (x: unknown): x is ResultRow => record(x) && isText(x['stage']) && record(x['screen']) && Array.isArray(x['screen']['order']) && Array.isArray(x['screen']['summary']) && record(x['screen']['parts']);
export const result = (id: string, stage: string) =>
  again(async (d) => {
    const r: unknown = await d.get('results', [id, stage]);
    return isResult(r) ? r : undefined;
  });
export const results = (id: string) => again(async (d) => ((await d.getAll('results', IDBKeyRange.bound([id, ''], [id, '\uffff']))) as unknown[]).filter(isResult));

// outbox gives what is not sent and reads, oldest first.
export const outbox = (id: string) =>
  again(async (d) => {
    const values: unknown[] = await d.getAllFromIndex('outbox', 'site', id).catch(async (e: unknown) => {
      if (named(e, 'InvalidStateError', 'AbortError')) throw e;
      const keys = await d.getAllKeysFromIndex('outbox', 'site', id);
      return Promise.all(keys.map((k) => d.get('outbox', k).catch(() => undefined)));
    });
    return values.map(outOf).filter((r) => r !== null);
  });
export const notSent = (id: string) => again((d) => d.countFromIndex('outbox', 'site', id));
export const keepOut = (row: OutRow) =>
  again(async (d) => {
    const tx = d.transaction('outbox', 'readwrite', strict);
    await tx.store.put(row);
    await tx.done;
  });

// sent takes what was acknowledged out of the outbox and notes where the
// server stands, in one transaction. The text stays as it is on the disk.
export const sent = (id: string, server: NonNullable<SiteRow['server']>, ns: number[]) =>
  again(async (d) => {
    const tx = d.transaction(['sites', 'outbox'], 'readwrite', strict);
    for (const n of ns) await tx.objectStore('outbox').delete(n);
    const row = await tx.objectStore('sites').get(id);
    if (row) await tx.objectStore('sites').put({ ...row, server });
    await tx.done;
  });

export const crossOut = (id: string) =>
  again(async (d) => {
    const tx = d.transaction(['sites', 'results', 'outbox', 'drafts', 'facts'], 'readwrite', strict);
    await tx.objectStore('sites').delete(id);
    await tx.objectStore('drafts').delete(id);
    await tx.objectStore('facts').delete(`page ${id}`);
    await tx.objectStore('results').delete(IDBKeyRange.bound([id, ''], [id, '\uffff']));
    for (const k of await tx.objectStore('outbox').index('site').getAllKeys(id)) await tx.objectStore('outbox').delete(k);
    await tx.done;
  });

// What is half written.
export const draft = (id: string) => again(async (d) => draftOf(await d.get('drafts', id)));
export const keepDraft = (row: DraftRow) => again((d) => d.put('drafts', row));
export const dropDraft = (id: string) => again((d) => d.delete('drafts', id));

// begun notes that a page has the pencil of a site, and gives what stood there:
// the page before it.
export const begun = (id: string, page: string, at: string) =>
  again(async (d) => {
    const tx = d.transaction('facts', 'readwrite', strict);
    const before = await tx.store.get(`page ${id}`);
    await tx.store.put({ key: `page ${id}`, page, at });
    await tx.done;
    return before;
  });

// Everything on this device as one file, what is not sent and what does not
// read included.
export type Everything = { stubup: 'device'; format: 1; at: string; sites: unknown[]; outbox: unknown[]; drafts: unknown[] };
export const everything = (at: string) =>
  again(async (d): Promise<Everything> => {
    const of = async (name: StoreNames<Shape>) => (await all(d, name)).map(([, v]) => v);
    return { stubup: 'device', format: 1, at, sites: await of('sites'), outbox: await of('outbox'), drafts: await of('drafts') };
  });
export const isEverything = (x: unknown): x is Everything => record(x) && x['stubup'] === 'device' && Array.isArray(x['sites']) && Array.isArray(x['outbox']);

// bring puts such a file onto this device, all of it or nothing. A site that
// stands here with another document stays; the one of the file comes beside it.
export const bring = (x: Everything, newId: () => string) =>
  again(async (d) => {
    const told = { sites: 0, same: 0, changes: 0, unread: 0 };
    const tx = d.transaction(['sites', 'outbox', 'drafts', 'facts'], 'readwrite', strict);
    try {
      const sites = tx.objectStore('sites');
      const out = tx.objectStore('outbox');
      const facts = tx.objectStore('facts');
      let turn = (await facts.get('turn'))?.n ?? 0;
      const under = new Map<string, string>();
      for (const row of [...x.sites].map(siteOf).sort((a, b) => (a && b ? order(b, a) : 0))) {
        if (!row) {
          told.unread++;
          continue;
        }
        const had = siteOf(await sites.get(row.id));
        const same = had?.text === row.text;
        const id = had && !same ? newId() : row.id;
        under.set(row.id, id);
        if (same) told.same++;
        else {
          told.sites++;
          await sites.put({ ...row, id, turn: ++turn });
        }
      }
      for (const v of x.outbox) {
        const r = outOf(v);
        const site = r && under.get(r.site);
        if (!r || !site) {
          told.unread++;
          continue;
        }
        const { n: _, ...row } = { ...r, site, request: r.request ?? newId() };
        if ((await out.index('request').getKey(row.request)) !== undefined) {
          if (site === r.site) continue;
          row.request = newId();
        }
        await out.add(row);
        told.changes++;
      }
      for (const v of Array.isArray(x.drafts) ? x.drafts : []) {
        const r = draftOf(v);
        const site = r && under.get(r.site);
        if (r && site && !(await tx.objectStore('drafts').get(site))) await tx.objectStore('drafts').put({ ...r, site });
      }
      await facts.put({ key: 'turn', n: turn });
      await tx.done;
    } catch (e) {
      tx.done.catch(() => {});
      throw e;
    }
    return told;
  });

// asked asks the browser not to clear this device's copy; call it on a
// person's own act. It says whether that was granted.
export async function asked(): Promise<boolean> {
  if (!navigator.storage?.persist) return false;
  return (await navigator.storage.persisted()) || navigator.storage.persist();
}
