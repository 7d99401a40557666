// The reference compound, and what its rooms say, as it was worked out when
// these pages were built: a first visit sees it while the engine is coming.
import text from '../../examples/compound-a.yaml?raw';
import type { Patch } from './engine';
import { patched, type Screen } from './parts';

export { text };

// built answers with those screens; of any other document, and where they
// cannot be fetched, with none.
export async function built(of: string): Promise<Screen[]> {
  if (of !== text) return [];
  const r = await fetch(new URL('example.json', document.baseURI), { priority: 'high' });
  if (!r.ok) return [];
  return ((await r.json()) as Patch[]).map((p) => ({ ...patched(undefined, p), stale: true }));
}
