// Snapping of a place that is being drawn, and the word that explains it. The
// order is point, line, angle, grid. This is pointer geometry: what a place
// means for the design is worked out by the engine.
import type { Thing } from './engine';
import type { Pt } from './view';

export type Snapped = { at: Pt; word: string; guide?: [Pt, Pt] };

export const foot = 0.3048;
export const inch = 0.0254;

// The whole steps of a tape, small ones first.
const tapes = {
  us: [inch / 2, inch, 2 * inch, 6 * inch, foot, 2 * foot, 5 * foot, 10 * foot],
  si: [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5],
};

// gridStep returns the step that is seen as a certain width at least: eight
// pixels are a step that one can follow, one is the finest that is seen at all.
export function gridStep(units: 'us' | 'si', pxPerMetre: number, least = 8): number {
  const steps = tapes[units];
  return steps.find((s) => s * pxPerMetre >= least) ?? steps[steps.length - 1]!;
}

// spoken writes a step as it is said: 6 in, 2 ft, 50 mm.
export function spoken(m: number, units: 'us' | 'si'): string {
  if (units === 'si') return m < 1 ? `${Math.round(m * 1000)} mm` : `${m} m`;
  if (m >= foot) return `${Math.round(m / foot)} ft`;
  return m < inch ? '1/2 in' : `${Math.round(m / inch)} in`;
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

// joins says what may stand at the points and on the lines of what, by kind:
// the first list is of kinds whose corners, legs and posts catch it, the second
// of kinds whose sides catch it. What is not listed catches nothing and is laid
// by the angle and the grid alone.
const solids = ['pad', 'platform', 'shelter'];
const ends = ['handhole', 'box', 'service', 'equipment', 'generator', 'shelter'];
export const joins: Record<string, { points: readonly string[]; lines: readonly string[] }> = {
  fence: { points: ['fence', 'wall', 'shelter', 'post'], lines: ['fence', 'wall', 'shelter'] },
  gate: { points: ['post'], lines: ['fence'] },
  rod: { points: ['ring'], lines: ['ring'] },
  taps: { points: ['ring'], lines: ['ring'] },
  there: { points: ['ring'], lines: ['ring'] },
  ring: { points: ['ring'], lines: ['ring'] },
  post: { points: ['fence', ...solids], lines: ['fence', ...solids] },
  frame: { points: ['fence', ...solids], lines: ['fence', ...solids] },
  pad: { points: [...solids, 'fence', 'wall'], lines: [...solids, 'fence', 'wall'] },
  platform: { points: [...solids, 'fence', 'wall'], lines: [...solids, 'fence', 'wall'] },
  shelter: { points: [...solids, 'fence', 'wall'], lines: [...solids, 'fence', 'wall'] },
  equipment: { points: [...solids, 'wall'], lines: [...solids, 'wall'] },
  generator: { points: [...solids, 'wall'], lines: [...solids, 'wall'] },
  lugs: { points: ['equipment', 'generator', 'frame'], lines: ['equipment', 'generator', ...solids, 'wall'] },
  bar: { points: solids, lines: [...solids, 'wall', 'fence', 'equipment'] },
  service: { points: [...solids, 'frame'], lines: [...solids, 'wall', 'fence'] },
  wall: { points: ['wall', 'fence', 'shelter'], lines: ['wall', 'fence', 'shelter'] },
  trench: { points: ['trench', ...ends], lines: ['trench', 'ring', 'run'] },
  tower: { points: [], lines: solids },
  mast: { points: [], lines: solids },
  handhole: { points: ['run', 'trench'], lines: ['run', 'trench'] },
  box: { points: ['run', 'equipment', 'shelter'], lines: ['run', 'wall', 'shelter'] },
  run: { points: ends, lines: ['trench', 'wall'] },
};

// A place is counted from the nearest of these lines, where one lies near: they
// stand above the ground, and the tape is laid from them.
const staked = ['fence', 'wall'];

export type Ask = {
  kind: string; // what is drawn or moved
  skip?: string; // the thing itself
  reach: number; // m
  step: number; // m
  from?: Pt; // where the line being drawn starts
  units?: 'us' | 'si';
};

// snap takes a place to what is near it and says what that is: a point of a
// thing that it can join, a line of one, an angle, or the grid. The guide is the
// way that the word speaks of.
export function snap(p: Pt, things: Thing[], ask: Ask): Snapped {
  const { reach, step, from } = ask;
  const may = joins[ask.kind] ?? { points: [], lines: [] };
  const others = things.filter((t) => t.id !== ask.skip);
  let best: Snapped | null = null;
  let bestD = reach;
  for (const t of others) {
    if (!may.points.includes(t.kind)) continue;
    const corners = t.kind === 'post' ? [t.at] : t.kind === 'ring' ? (t.lines ?? []) : (t.handles ?? []).map((h) => h.at);
    for (const at of corners) {
      const d = dist(at, p);
      if (d < bestD) {
        bestD = d;
        best = { at, word: `at ${said(t)}` };
      }
    }
  }
  if (best) return best;
  for (const t of others) {
    if (!may.lines.includes(t.kind)) continue;
    for (const [a, b] of sides(t)) {
      const q = nearest(a, b, p);
      const d = dist(q, p);
      if (d < bestD) {
        bestD = d;
        const at = along(a, b, q, step);
        best = { at, word: `on ${said(t)}, ${feet(dist(a, at), ask.units)} from its corner`, guide: [a, at] };
      }
    }
  }
  if (best) return best;
  if (from) {
    const d = dist(from, p);
    const a = Math.atan2(p[1] - from[1], p[0] - from[0]);
    const to = Math.round(a / (Math.PI / 4)) * (Math.PI / 4);
    if (d > reach && Math.abs(a - to) * d < reach) {
      // Whole steps east and north, so that what is square stays on the grid.
      const c = Math.abs(Math.cos(to)) > 0.1 ? Math.sign(Math.cos(to)) : 0;
      const s = Math.abs(Math.sin(to)) > 0.1 ? Math.sign(Math.sin(to)) : 0;
      const l = Math.round(d / Math.hypot(c, s) / step) * step;
      const at: Pt = [from[0] + l * c, from[1] + l * s];
      return { at, word: `${c && s ? '45' : 'square'}, ${feet(l * Math.hypot(c, s), ask.units)}`, guide: [from, at] };
    }
  }
  // The grid is counted from the line that it is taped from.
  let side: { t: Thing; a: Pt; b: Pt; q: Pt } | null = null;
  bestD = 10 * foot;
  for (const t of others) {
    if (!staked.includes(t.kind)) continue;
    for (const [a, b] of sides(t)) {
      const q = nearest(a, b, p);
      const d = dist(q, p);
      // Past the ends of a side there is no square way to it.
      if (d < bestD && dist(q, a) > 1e-6 && dist(q, b) > 1e-6) {
        bestD = d;
        side = { t, a, b, q };
      }
    }
  }
  if (side) {
    const foot1 = along(side.a, side.b, side.q, step);
    const away = Math.round(bestD / step) * step;
    const k = bestD > 0 ? away / bestD : 0;
    const at: Pt = [foot1[0] + (p[0] - side.q[0]) * k, foot1[1] + (p[1] - side.q[1]) * k];
    return { at, word: `${feet(away, ask.units)} from ${said(side.t)}`, guide: [foot1, at] };
  }
  return { at: [Math.round(p[0] / step) * step, Math.round(p[1] / step) * step], word: `grid, ${feet(step, ask.units)}` };
}

const said = (t: Thing) => t.id.replaceAll('-', ' ');

// feet writes a length of whole steps beside a guide, in sixteenths or
// millimetres. It is a word under a finger; what is printed is written by the
// engine.
export function feet(m: number, units: 'us' | 'si' = 'us'): string {
  if (units === 'si') return `${String(Math.round(m * 1000) / 1000)} m`;
  const n = Math.round((m / inch) * 16);
  const ft = Math.floor(n / 192);
  const whole = Math.floor((n % 192) / 16);
  let part = n % 16;
  let den = 16;
  while (part && part % 2 === 0) [part, den] = [part / 2, den / 2];
  return `${ft}'-${whole}${part ? ` ${part}/${den}` : ''}"`;
}

// along takes a place on a line to whole steps from the line's start.
export function along(a: Pt, b: Pt, q: Pt, step: number): Pt {
  const l = dist(a, b);
  if (l === 0) return q;
  const s = Math.min(l, Math.round(dist(a, q) / step) * step);
  return [a[0] + ((b[0] - a[0]) * s) / l, a[1] + ((b[1] - a[1]) * s) / l];
}

// onRing takes a rod to the ring: with a step in whole steps from the side's
// start, without one to the nearest place.
export function onRing(p: Pt, ring: Thing, step: number, units: 'us' | 'si' = 'us'): Snapped {
  let best: Snapped = { at: p, word: 'on ring' };
  let bestD = Infinity;
  for (const [a, b] of sides(ring)) {
    const q = nearest(a, b, p);
    const d = dist(q, p);
    if (d < bestD) {
      bestD = d;
      const at = step > 0 ? along(a, b, q, step) : q;
      best = step > 0 ? { at, word: `on ring, ${feet(dist(a, at), units)} from its corner`, guide: [a, at] } : { at, word: 'on ring' };
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
