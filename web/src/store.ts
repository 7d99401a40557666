// What this device keeps: sites, the last results, and what is not yet sent.
// Every write is strict: it counts as kept only once it is on the disk.
import { openDB, type DBSchema, type IDBPDatabase } from 'idb';
import type { Edit } from './engine';
import type { Screen } from './parts';

export type SiteRow = {
  id: string; name: string; revision: string; text: string; created: string; changed: string;
  server?: { site: string; head: string }; // where it stands on the server
};
export type OutRow = { n?: number; site: string; at: string; sentence: string; edits: Edit[]; text: string };
export type ResultRow = { site: string; stage: string; screen: Screen };

interface Shape extends DBSchema {
  sites: { key: string; value: SiteRow };
  results: { key: [string, string]; value: ResultRow };
  outbox: { key: number; value: OutRow; indexes: { site: string } };
}

// Numbers under nextFormat are this format; every mending takes the next one.
const version = 1;
const nextFormat = 100;
const names = ['sites', 'results', 'outbox'] as const;
const strict = { durability: 'strict' } as const;
let db: Promise<IDBPDatabase<Shape>> | null = null;

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

// connect opens the database; a store that is missing is made anew, the others
// stay as they are.
async function connect(v?: number): Promise<IDBPDatabase<Shape>> {
  const d = await openDB<Shape>('stubup', v, {
    upgrade(d) {
      const has = (s: (typeof names)[number]) => d.objectStoreNames.contains(s);
      if (!has('sites')) d.createObjectStore('sites', { keyPath: 'id' });
      if (!has('results')) d.createObjectStore('results', { keyPath: ['site', 'stage'] });
      if (!has('outbox')) d.createObjectStore('outbox', { keyPath: 'n', autoIncrement: true }).createIndex('site', 'site');
    },
    // The browser may close a database under memory pressure; the next call
    // opens it again.
    terminated() {
      db = null;
    },
    blocking() {
      void db?.then((d) => d.close());
      db = null;
    },
  });
  if (d.version >= nextFormat) {
    d.close();
    throw new Error('what is kept here was written by a newer build; close all tabs of it and open the page again');
  }
  if (names.every((s) => d.objectStoreNames.contains(s))) return d;
  const mended = d.version + 1;
  d.close();
  return connect(mended);
}

export class NoRoom extends Error {}

// again runs f, once more with a fresh connection where the old one was lost.
async function again<T>(f: (d: IDBPDatabase<Shape>) => Promise<T>): Promise<T> {
  try {
    return await f(await open());
  } catch (e) {
    if (e instanceof DOMException && e.name === 'QuotaExceededError') throw new NoRoom('no room on this device');
    if (e instanceof DOMException && e.name === 'InvalidStateError') {
      db = null;
      return f(await open());
    }
    throw e;
  }
}

export const sites = () => again((d) => d.getAll('sites'));
export const site = (id: string) => again((d) => d.get('sites', id));

// keep writes a site and what was done to it in one transaction.
export const keep = (row: SiteRow, out: OutRow[] = []) =>
  again(async (d) => {
    const tx = d.transaction(['sites', 'outbox'], 'readwrite', strict);
    await tx.objectStore('sites').put(row);
    for (const o of out) await tx.objectStore('outbox').add(o);
    await tx.done;
  });

export const keepResult = (row: ResultRow) =>
  again(async (d) => {
    const tx = d.transaction('results', 'readwrite');
    await tx.store.put(row);
    await tx.done;
  });

export const result = (id: string, stage: string) => again((d) => d.get('results', [id, stage]));
export const results = (id: string) => again((d) => d.getAll('results', IDBKeyRange.bound([id, ''], [id, '\uffff'])));
export const outbox = (id: string) => again((d) => d.getAllFromIndex('outbox', 'site', id));
export const notSent = (id: string) => again((d) => d.countFromIndex('outbox', 'site', id));

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
    const tx = d.transaction(['sites', 'results', 'outbox'], 'readwrite', strict);
    await tx.objectStore('sites').delete(id);
    await tx.objectStore('results').delete(IDBKeyRange.bound([id, ''], [id, '\uffff']));
    for (const k of await tx.objectStore('outbox').index('site').getAllKeys(id)) await tx.objectStore('outbox').delete(k);
    await tx.done;
  });

// asked asks the browser not to clear this device's copy; call it on a
// person's own act. It says whether that was granted.
export async function asked(): Promise<boolean> {
  if (!navigator.storage?.persist) return false;
  return (await navigator.storage.persisted()) || navigator.storage.persist();
}
