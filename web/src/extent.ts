// How far what is drawn reaches on the paper of a sketch, its words and
// dimensions included, so that a view can be made of all of it. Millimetres of
// the paper; the size of a word is the one it is written at on the screen.
import type { Bunch, Item } from './engine';
import { boxOf } from './labels';

export type Extent = [number, number, number, number]; // x0, y0, x1, y1
type Bunches = readonly (readonly [string, Bunch])[];

// groundOf is the part of a sheet that the ground is drawn on: its figures and
// the signs in them stand beyond the line ruled right across the sheet, or down it.
export function groundOf(bunches: Bunches, w: number, h: number): Extent {
  let [x0, y1] = [-Infinity, Infinity];
  for (const [, b] of bunches) {
    if (b.layer !== 'ruling') continue;
    for (const it of b.items) {
      if (it[0] !== 'l') continue;
      const [ax = 0, ay = 0, bx = 0, by = 0] = it[5];
      if (Math.abs(bx - ax) > w - 1) y1 = Math.min(y1, ay);
      else if (Math.abs(by - ay) > h - 1) x0 = Math.max(x0, ax);
    }
  }
  return [x0, -Infinity, Infinity, y1];
}

// An arc is told as path data: it bulges from its chord to one side.
function arc(path: string): number[] {
  const out: number[] = [];
  const n = (path.match(/-?[\d.]+/g) ?? []).map(Number);
  let [x, y] = [n[0] ?? 0, n[1] ?? 0];
  for (let i = 2; i + 6 < n.length; i += 7) {
    const [r, , , , sweep, ex, ey] = n.slice(i, i + 7) as [number, number, number, number, number, number, number];
    const c = Math.hypot(ex - x, ey - y) || 1;
    const rest = Math.sqrt(Math.max(0, r * r - (c * c) / 4));
    const s = (r - rest) * (sweep ? 1 : -1);
    out.push(x, y, ex, ey, (x + ex) / 2 + ((ey - y) / c) * s, (y + ey) / 2 - ((ex - x) / c) * s);
    [x, y] = [ex, ey];
  }
  return out;
}

function spanOf(it: Item, k: number): Extent | null {
  if (it[0] === 'c') return [it[4] - it[6], it[5] - it[6], it[4] + it[6], it[5] + it[6]];
  if (it[0] === 't') {
    const b = boxOf(it, k);
    return [b.x, b.y, b.x + b.w, b.y + b.h];
  }
  const p = it[0] === 'a' ? arc(it[4]) : it[0] === 'l' ? it[5] : it[2];
  if (p.length < 2) return null;
  const [xs, ys] = [p.filter((_, i) => i % 2 === 0), p.filter((_, i) => i % 2 === 1)];
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

// extent is around everything that is drawn on the ground of a sheet, or, where
// a place is given, around that with every word and dimension that stands beside
// it or would be cut at the edge of the window seen so far.
export function extent(bunches: Bunches, words: ReadonlyMap<string, number>, hidden: ReadonlySet<string>, ground: Extent, around?: Extent, seen?: Extent): Extent {
  const out: Extent = around ? [...around] : [Infinity, Infinity, -Infinity, -Infinity];
  const near = around && ([around[0] - beside, around[1] - beside, around[2] + beside, around[3] + beside] as const);
  for (const [name, b] of bunches) {
    if (hidden.has(b.layer)) continue;
    b.items.forEach((it, n) => {
      const k = words.get(`${name} ${n}`);
      if (k === undefined && (it[0] === 't' || b.layer === 'leader')) return;
      const s = spanOf(it, k ?? 1);
      if (!s || s[2] <= ground[0] || s[1] >= ground[3]) return;
      if (near) {
        const [x, y] = [(s[0] + s[2]) / 2, (s[1] + s[3]) / 2];
        const said = it[0] === 't' || b.layer === 'dimension';
        const cut = said && seen && s[0] < seen[2] && s[2] > seen[0] && s[1] < seen[3] && s[3] > seen[1];
        if (!cut && (x < near[0] || x > near[2] || y < near[1] || y > near[3])) return;
        if (!said) for (const i of [0, 1, 2, 3]) s[i] = Math.min(Math.max(s[i]!, near[i % 2]!), near[2 + (i % 2)]!);
      }
      for (const i of [0, 1]) {
        out[i] = Math.min(out[i]!, s[i]!);
        out[i + 2] = Math.max(out[i + 2]!, s[i + 2]!);
      }
    });
  }
  return out;
}

const beside = 17; // mm beside the plan that a sheet keeps for its dimensions and words
