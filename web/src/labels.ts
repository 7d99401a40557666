// The words on a sketch: what would be too small to read is written at the least
// size that can be read, where that covers no other word, and else is left out
// until one comes closer, and the leader to it as well; the word of what is
// picked or wrong comes first. The list beside the sketch has them all.
import type { Bunch, Item } from './engine';

export const least = 11; // CSS pixels

type Text = Extract<Item, { 0: 't' }>;
type Box = { x: number; y: number; w: number; h: number; turn: number };

// boxOf is the ground of a text, as a box of the paper, k times as large.
export function boxOf(t: Text, k: number): Box {
  const [, x, y, size, anchor, turn, , , length] = t;
  const w = length * k;
  const h = size * k;
  const left = anchor === 1 ? -w / 2 : anchor === 2 ? -w : 0;
  // A turned text is taken as upright or lying, whichever is nearer.
  if (Math.abs(turn) > 45) return { x: x - h * 0.8, y: y - left - w, w: h, h: w, turn };
  return { x: x + left, y: y - h * 0.8, w, h, turn };
}

const meet = (a: Box, b: Box) => a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h;

// labels says how many times as large each text is written, keyed by its bunch
// and its place in it; what is left out is not in it. Leaders are in it, once as
// large, where the word that they begin at is.
export function labels(bunches: readonly (readonly [string, Bunch])[], pxPerMm: number, first: ReadonlySet<string>, hidden: ReadonlySet<string>): Map<string, number> {
  const out = new Map<string, number>();
  const all: { key: string; id: string; t: Text; k: number; rank: number }[] = [];
  for (const [name, b] of bunches) {
    if (hidden.has(b.layer)) continue;
    b.items.forEach((it, n) => {
      if (it[0] !== 't') return;
      const k = Math.max(1, least / (it[3] * pxPerMm));
      all.push({ key: `${name} ${n}`, id: b.id, t: it, k, rank: first.has(b.id) ? 0 : it[6] ? 1 : 2 });
    });
  }
  // At full size all of it was laid out by the engine; nothing is left out.
  const set: Box[] = [];
  if (all.every((a) => a.k === 1)) for (const a of all) out.set(a.key, 1);
  else for (const a of all.map((a, n) => ({ ...a, n })).sort((a, b) => a.rank - b.rank || b.t[3] - a.t[3] || a.n - b.n)) {
    const box = boxOf(a.t, a.k);
    if (set.some((o) => meet(o, box))) continue;
    set.push(box);
    out.set(a.key, a.k);
  }
  for (const [name, b] of bunches) {
    if (b.layer !== 'leader') continue;
    let stands = true; // a dot at a leader's end goes with the line before it
    b.items.forEach((it, n) => {
      if (it[0] === 'l') {
        const [x = 0, y = 0] = it[5];
        const far = (t: Text) => {
          const o = boxOf(t, 1);
          return Math.hypot(x - Math.min(Math.max(x, o.x), o.x + o.w), y - Math.min(Math.max(y, o.y), o.y + o.h));
        };
        const word = all.filter((a) => a.id === b.id).sort((p, q) => far(p.t) - far(q.t))[0];
        stands = !word || out.has(word.key);
      }
      if (stands) out.set(`${name} ${n}`, 1);
    });
  }
  return out;
}

export type Tag = { x: number; y: number; anchor: 'start' | 'middle' | 'end' };

// tags finds a place beside each point of a line for its words, 14 px high:
// where they cover no other words, no point and as little of the line as can
// be, within w by h. Lengths are CSS pixels; n letters are taken as 8 n long.
export function tags(at: readonly (readonly [number, number])[], words: readonly string[], line: readonly (readonly [number, number])[], w: number, h: number): Tag[] {
  const along: [number, number][] = [];
  line.forEach((b, i) => {
    const a = line[i - 1];
    if (!a) return;
    const n = Math.max(1, Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / 6));
    for (let k = 0; k <= n; k++) along.push([a[0] + ((b[0] - a[0]) * k) / n, a[1] + ((b[1] - a[1]) * k) / n]);
  });
  const set: Box[] = [];
  return at.map(([x, y], i) => {
    const long = 8 * (words[i] ?? '').length;
    const ways: Tag[] = [
      { x: x + 8, y: y - 8, anchor: 'start' }, { x: x - 8, y: y - 8, anchor: 'end' }, { x: x + 8, y: y + 20, anchor: 'start' },
      { x: x - 8, y: y + 20, anchor: 'end' }, { x, y: y - 14, anchor: 'middle' }, { x, y: y + 26, anchor: 'middle' },
    ];
    let best = ways[0]!;
    let least = Infinity;
    let taken: Box | null = null;
    for (const t of ways) {
      const box: Box = { x: t.x - (t.anchor === 'end' ? long : t.anchor === 'middle' ? long / 2 : 0), y: t.y - 12, w: long, h: 16, turn: 0 };
      const out = Math.max(0, -box.x) + Math.max(0, box.x + box.w - w) + Math.max(0, -box.y) + Math.max(0, box.y + box.h - h);
      const inside = ([p, q]: readonly [number, number], by: number) => p > box.x - by && p < box.x + box.w + by && q > box.y - by && q < box.y + box.h + by;
      const cost = 1000 * set.filter((o) => meet(o, box)).length + 100 * at.filter((p, k) => k !== i && inside(p, 4)).length + 50 * out + along.filter((p) => inside(p, 0)).length;
      if (cost < least) [best, least, taken] = [t, cost, box];
    }
    if (taken) set.push(taken);
    return best;
  });
}
