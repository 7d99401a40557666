// The window on a sheet: which part of the paper is seen, and how screen,
// paper and ground lie to each other. Paper is in millimetres with y down,
// the ground in metres with y north.
import type { Frame } from './engine';

export type Pt = [number, number];
export type Window = { x: number; y: number; w: number; h: number }; // mm

// fit returns the window that shows a box of paper whole, with a margin, in a
// view of the given shape; what lies over the view at its edges, in pixels from
// the left, above, the right and below, is not free for it.
export function fit(box: [number, number, number, number], view: { w: number; h: number }, margin = 4, taken: [number, number, number, number] = [0, 0, 0, 0]): Window {
  const [x0, y0, x1, y1] = box;
  const w = Math.max(x1 - x0 + 2 * margin, 1);
  const h = Math.max(y1 - y0 + 2 * margin, 1);
  const [l, t, r, b] = taken;
  const scale = Math.min(Math.max(view.w - l - r, view.w / 4) / w, Math.max(view.h - t - b, view.h / 4) / h);
  return { x: (x0 + x1 - (view.w + l - r) / scale) / 2, y: (y0 + y1 - (view.h + t - b) / scale) / 2, w: view.w / scale, h: view.h / scale };
}

export const pxPerMm = (win: Window, view: { w: number }) => view.w / win.w;

export function toPaper(win: Window, view: { w: number; h: number }, px: Pt): Pt {
  return [win.x + (px[0] / view.w) * win.w, win.y + (px[1] / view.h) * win.h];
}

export function toScreen(win: Window, view: { w: number; h: number }, mm: Pt): Pt {
  return [((mm[0] - win.x) / win.w) * view.w, ((mm[1] - win.y) / win.h) * view.h];
}

export const toGround = (f: Frame, mm: Pt): Pt => [((mm[0] - f.zero[0]) * f.ratio) / 1000, ((f.zero[1] - mm[1]) * f.ratio) / 1000];

export const onPaper = (f: Frame, m: Pt): Pt => [f.zero[0] + (m[0] * 1000) / f.ratio, f.zero[1] - (m[1] * 1000) / f.ratio];

export const pan = (win: Window, view: { w: number; h: number }, dx: number, dy: number): Window => ({
  ...win, x: win.x - (dx / view.w) * win.w, y: win.y - (dy / view.h) * win.h,
});

// zoom makes the window k times smaller about a place of the screen, within
// limits in pixels to the millimetre.
export function zoom(win: Window, view: { w: number; h: number }, at: Pt, k: number, least = 0.6, most = 60): Window {
  const now = pxPerMm(win, view);
  const to = Math.min(most, Math.max(least, now * k));
  const f = now / to;
  const [px, py] = toPaper(win, view, at);
  return { x: px - (px - win.x) * f, y: py - (py - win.y) * f, w: win.w * f, h: win.h * f };
}

// pinch moves the window so that two places of the paper stay under two
// fingers.
export function pinch(win: Window, view: { w: number; h: number }, was: [Pt, Pt], is: [Pt, Pt]): Window {
  const d0 = Math.hypot(was[1][0] - was[0][0], was[1][1] - was[0][1]);
  const d1 = Math.hypot(is[1][0] - is[0][0], is[1][1] - is[0][1]);
  const m0: Pt = [(was[0][0] + was[1][0]) / 2, (was[0][1] + was[1][1]) / 2];
  const m1: Pt = [(is[0][0] + is[1][0]) / 2, (is[0][1] + is[1][1]) / 2];
  const moved = pan(win, view, m1[0] - m0[0], m1[1] - m0[1]);
  return d0 < 1 ? moved : zoom(moved, view, m1, d1 / d0);
}
