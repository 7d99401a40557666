// What this device keeps of its own, beside the sites: the pictures that are laid
// under a sketch, the words of a notice, what can be undone. Nothing of it is sent. It stands in a database of its own, so
// that the sites are never at its mercy.
import { openDB, type IDBPDatabase } from 'idb';

let db: Promise<IDBPDatabase> | null = null;
const open = () =>
  (db ??= openDB('stubup device', 1, {
    upgrade: (d) => void d.createObjectStore('kept'),
    terminated: () => void (db = null),
    blocking: () => {
      void db?.then((d) => d.close());
      db = null;
    },
  }).catch((e: unknown) => {
    db = null;
    throw e;
  }));

export async function kept<T>(key: string): Promise<T | undefined> {
  return (await (await open()).get('kept', key)) as T | undefined;
}
export async function keep(key: string, value: unknown): Promise<void> {
  const tx = (await open()).transaction('kept', 'readwrite', { durability: 'strict' });
  await tx.store.put(value, key);
  await tx.done;
}
// forget lets go of all that is kept of one site.
export async function forget(site: string): Promise<void> {
  const tx = (await open()).transaction('kept', 'readwrite', { durability: 'strict' });
  for (const key of await tx.store.getAllKeys()) if (String(key).endsWith(` ${site}`)) await tx.store.delete(key);
  await tx.done;
}
export async function drop(key: string): Promise<void> {
  const tx = (await open()).transaction('kept', 'readwrite', { durability: 'strict' });
  await tx.store.delete(key);
  await tx.done;
}
