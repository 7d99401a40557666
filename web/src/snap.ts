// Snapping of a place that is being drawn, and the word that explains it. The
// order is point, line, angle, grid. This is pointer geometry: what a place
// means for the design is worked out by the engine.
import type { Thing } from './engine';
import type { Pt } from './view';

export type Snapped = { at: Pt; word: string };

export const foot = 0.3048;
export const inch = 0.0254;

// gridStep returns the step that one can still see: about eight pixels.
export function gridStep(units: 'us' | 'si', pxPerMetre: number): number {
  const steps = units === 'us' ? [inch, 3 * inch, 6 * inch, foot, 5 * foot, 10 * foot] : [0.01, 0.05, 0.1, 0.5, 1, 5];
  return steps.find((s) => s * pxPerMetre >= 8) ?? steps[steps.length - 1]!;
}

export function nearest(a: Pt, b: Pt, p: Pt): Pt {
  const dx = b[0] - a[0];
  const dy = b[1] - a[1];
  const l = dx * dx + dy * dy;
  if (l === 0) return a;
  const t = Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / l));
  return [a[0] + t * dx, a[1] + t * dy];
}

const dist = (a: Pt, b: Pt) => Math.hypot(a[0] - b[0], a[1] - b[1]);

export function sides(t: Thing): [Pt, Pt][] {
  const l = t.lines ?? [];
  const out: [Pt, Pt][] = [];
  for (let i = 0; i + 1 < l.length; i++) out.push([l[i]!, l[i + 1]!]);
  if (t.closed && l.length > 2) out.push([l[l.length - 1]!, l[0]!]);
  return out;
}

// snap takes a place to what is near it. reach is in metres; from, where
// given, is where the line being drawn starts.
export function snap(p: Pt, things: Thing[], skip: string, reach: number, step: number, from?: Pt): Snapped {
  let best: Snapped | null = null;
  let bestD = reach;
  for (const t of things) {
    if (t.id === skip) continue;
    for (const h of t.handles ?? []) {
      const d = dist(h.at, p);
      if (d < bestD) {
        bestD = d;
        best = { at: h.at, word: `at ${t.id}` };
      }
    }
    if (t.kind === 'post') {
      const d = dist(t.at, p);
      if (d < bestD) {
        bestD = d;
        best = { at: t.at, word: `at ${t.id}` };
      }
    }
  }
  if (best) return best;
  for (const t of things) {
    if (t.id === skip || !(t.kind === 'fence' || t.kind === 'ring' || t.kind === 'wall')) continue;
    for (const [a, b] of sides(t)) {
      const q = nearest(a, b, p);
      const d = dist(q, p);
      if (d < bestD) {
        bestD = d;
        best = { at: along(a, b, q, step), word: `on ${t.id}` };
      }
    }
  }
  if (best) return best;
  if (from) {
    const d = dist(from, p);
    const a = Math.atan2(p[1] - from[1], p[0] - from[0]);
    const to = Math.round(a / (Math.PI / 4)) * (Math.PI / 4);
    if (d > reach && Math.abs(a - to) * d < reach) {
      const l = Math.round(d / step) * step;
      const deg = ((Math.round((to * 180) / Math.PI) % 180) + 180) % 180;
      return { at: [from[0] + l * Math.cos(to), from[1] + l * Math.sin(to)], word: deg % 90 === 0 ? 'square' : '45' };
    }
  }
  return { at: [Math.round(p[0] / step) * step, Math.round(p[1] / step) * step], word: 'grid' };
}

// along takes a place on a line to whole steps from the line's start.
export function along(a: Pt, b: Pt, q: Pt, step: number): Pt {
  const l = dist(a, b);
  if (l === 0) return q;
  const s = Math.min(l, Math.round(dist(a, q) / step) * step);
  return [a[0] + ((b[0] - a[0]) * s) / l, a[1] + ((b[1] - a[1]) * s) / l];
}

// onRing takes a rod to the ring, in whole steps from the side's start.
export function onRing(p: Pt, ring: Thing, step: number): Snapped {
  let best: Snapped = { at: p, word: 'on ring' };
  let bestD = Infinity;
  for (const [a, b] of sides(ring)) {
    const q = nearest(a, b, p);
    const d = dist(q, p);
    if (d < bestD) {
      bestD = d;
      best = { at: along(a, b, q, step), word: 'on ring' };
    }
  }
  return best;
}

// near lists the things within reach of a place, the nearest first.
export function near(p: Pt, things: Thing[], reach: number): Thing[] {
  const hit: [number, Thing][] = [];
  for (const t of things) {
    let d = Infinity;
    if (t.lines && t.lines.length > 1) {
      for (const [a, b] of sides(t)) d = Math.min(d, dist(nearest(a, b, p), p));
      if (t.closed && t.kind !== 'fence' && t.kind !== 'ring' && inside(p, t.lines)) d = Math.min(d, reach * 0.9);
    } else {
      d = dist(t.at, p);
      for (const h of t.handles ?? []) d = Math.min(d, dist(h.at, p));
    }
    if (d <= reach) hit.push([d + (t.lines ? reach * 0.3 : 0), t]);
  }
  return hit.sort((a, b) => a[0] - b[0]).map((h) => h[1]);
}

export function inside(p: Pt, l: Pt[]): boolean {
  let odd = false;
  for (let i = 0, j = l.length - 1; i < l.length; j = i++) {
    const a = l[i]!;
    const b = l[j]!;
    if (a[1] > p[1] !== b[1] > p[1] && p[0] < ((b[0] - a[0]) * (p[1] - a[1])) / (b[1] - a[1]) + a[0]) odd = !odd;
  }
  return odd;
}
