// Putting a patch of changed parts onto the parts that are there.
import type { Part, Patch } from './engine';

export type Screen = {
  stage: string; site: string; asOf: string; summary: string[]; order: string[]; parts: Record<string, Part>;
  files: string[]; counts: Record<string, number>; stale: boolean;
};

export function patched(was: Screen | undefined, p: Patch): Screen {
  const parts: Record<string, Part> = {};
  const take = (key: string) => {
    const part = p.parts[key] ?? was?.parts[key];
    if (!part) return;
    parts[key] = part;
    if (part.kind === 'sketch') part.bunches.forEach(take);
  };
  p.order.forEach(take);
  return { stage: p.stage, site: p.site, asOf: p.asOf, summary: p.summary, order: p.order, parts, files: p.files, counts: p.counts, stale: false };
}

export function partsOf<K extends Part['kind']>(s: Screen | undefined, kind: K): Extract<Part, { kind: K }>[] {
  if (!s) return [];
  return s.order.map((k) => s.parts[k]).filter((p): p is Extract<Part, { kind: K }> => p?.kind === kind);
}
