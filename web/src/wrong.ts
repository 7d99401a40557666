// What is marked on the sketch: where marks lie so close that they are one on
// the screen, and the wavy line along what is wrong. Pointer geometry alone.
import type { Wrong } from './engine';
import type { Pt } from './view';

export type Cluster = { place: Pt; wrong: boolean; of: Wrong[] };
export type Sign = Cluster & { at: Pt }; // where its sign stands
type Box = { x: number; y: number; w: number; h: number };

// clusters gathers the places of the marks, in pixels, that lie within a hand of
// each other, so that one sign stands for them: one for what is broken, and one
// for what nobody can tell.
export function clusters(ws: Wrong[], px: (p: Pt) => Pt, within: number): Cluster[] {
  const out: Cluster[] = [];
  for (const w of [...ws].sort((a, b) => Number(b.wrong) - Number(a.wrong))) {
    for (const p of w.at) {
      const at = px(p);
      const c = out.find((o) => o.wrong === w.wrong && Math.hypot(o.place[0] - at[0], o.place[1] - at[1]) < within);
      if (!c) out.push({ place: at, wrong: w.wrong, of: [w] });
      else if (!c.of.includes(w)) c.of.push(w);
    }
  }
  return out;
}

// seats finds where each sign stands: at its place, or the nearest beside it that
// covers no word and no other sign and lies in the view; at its place where
// there is none.
export function seats(cs: Cluster[], words: Box[], view: { w: number; h: number }, r = 11): Sign[] {
  const out: Sign[] = [];
  const many = (c: Cluster) => (c.of.length > 1 ? 13 : 0);
  for (const c of cs) {
    const n = many(c); // how many it stands for is written at its upper right
    const free = ([x, y]: Pt) =>
      x >= r && y >= r && x <= view.w - r && y <= view.h - r &&
      !out.some((o) => Math.hypot(o.at[0] - x, o.at[1] - y) < 2 * r + 2 + Math.max(n, many(o))) &&
      !words.some((b) => x + r + n > b.x && x - r < b.x + b.w && y + r > b.y && y - r - n < b.y + b.h);
    const ways: Pt[] = [c.place];
    for (const far of [24, 38, 52]) for (let a = 0; a < 12; a++) ways.push([c.place[0] + far * Math.cos((a * Math.PI) / 6), c.place[1] + far * Math.sin((a * Math.PI) / 6)]);
    const inside = c.place[0] >= 0 && c.place[1] >= 0 && c.place[0] <= view.w && c.place[1] <= view.h;
    out.push({ ...c, at: (inside && ways.find(free)) || c.place });
  }
  return out;
}

// wavy is path data along a line of pixels: a wave of the given length and
// height, from end to end. What lies far outside of the view is left out.
export function wavy(pts: Pt[], view: { w: number; h: number }, length = 12, height = 3): string {
  let d = '';
  for (let i = 0; i + 1 < pts.length; i++) {
    const [a, b] = [pts[i]!, pts[i + 1]!];
    const c = clip(a, b, view, 40);
    if (!c) continue;
    const [x, y] = c[0];
    const l = Math.hypot(c[1][0] - x, c[1][1] - y);
    const n = Math.max(1, Math.round(l / length));
    const ux = (c[1][0] - x) / (l || 1);
    const uy = (c[1][1] - y) / (l || 1);
    const s = l / n;
    d += `M${x.toFixed(1)} ${y.toFixed(1)}`;
    for (let k = 0; k < n; k++) {
      const side = (k % 2 ? -1 : 1) * height;
      const mx = x + ux * s * (k + 0.5) - uy * side * 2;
      const my = y + uy * s * (k + 0.5) + ux * side * 2;
      d += `Q${mx.toFixed(1)} ${my.toFixed(1)} ${(x + ux * s * (k + 1)).toFixed(1)} ${(y + uy * s * (k + 1)).toFixed(1)}`;
    }
  }
  return d;
}

// clip returns the part of a line that lies in the view and a margin around it.
export function clip(a: Pt, b: Pt, view: { w: number; h: number }, margin: number): [Pt, Pt] | null {
  let from = 0;
  let to = 1;
  const d: Pt = [b[0] - a[0], b[1] - a[1]];
  const edges: [number, number][] = [[-d[0], a[0] + margin], [d[0], view.w + margin - a[0]], [-d[1], a[1] + margin], [d[1], view.h + margin - a[1]]];
  for (const [p, q] of edges) {
    if (p === 0) {
      if (q < 0) return null;
    } else if (p < 0) from = Math.max(from, q / p);
    else to = Math.min(to, q / p);
  }
  return from < to ? [[a[0] + from * d[0], a[1] + from * d[1]], [a[0] + to * d[0], a[1] + to * d[1]]] : null;
}
