import { describe, expect, it } from 'vitest';
import type { Frame } from './engine';
import { fit, onPaper, pan, pinch, toGround, toPaper, toScreen, zoom, type Pt, type Window } from './view';

const f: Frame = { ratio: 48, zero: [30, 200], drawn: [0, 0, 100, 100] };
const view = { w: 800, h: 600 };
const win: Window = fit([10, 20, 110, 70], view);
const near = (a: Pt, b: Pt) => {
  expect(a[0]).toBeCloseTo(b[0], 9);
  expect(a[1]).toBeCloseTo(b[1], 9);
};

describe('screen, paper and ground', () => {
  it('a metre at 1:48 is 1000/48 mm, north is up', () => near(onPaper(f, [1, 2]), [30 + 1000 / 48, 200 - 2000 / 48]));
  it('there and back is where it was', () => {
    for (const p of [[0, 0], [12.5, -3], [-40, 7]] as Pt[]) near(toGround(f, onPaper(f, p)), p);
    for (const p of [[0, 0], [400, 300], [799, 1]] as Pt[]) near(toScreen(win, view, toPaper(win, view, p)), p);
  });
  it('fit keeps the shape of the view and shows the whole box', () => {
    expect(win.w / win.h).toBeCloseTo(view.w / view.h, 9);
    expect(win.x).toBeLessThanOrEqual(6);
    expect(win.x + win.w).toBeGreaterThanOrEqual(114);
    expect(win.y).toBeLessThanOrEqual(16);
    expect(win.y + win.h).toBeGreaterThanOrEqual(74);
  });
  it('fit keeps the box clear of what lies over the edges', () => {
    const w = fit([10, 20, 110, 70], view, 0, [10, 20, 30, 200]);
    const [a, b] = [toScreen(w, view, [10, 20]), toScreen(w, view, [110, 70])];
    expect(a[0]).toBeGreaterThanOrEqual(10 - 1e-9);
    expect(a[1]).toBeGreaterThanOrEqual(20 - 1e-9);
    expect(b[0]).toBeLessThanOrEqual(770 + 1e-9);
    expect(b[1]).toBeLessThanOrEqual(400 + 1e-9);
  });
  it('panning moves the paper with the finger', () => {
    const p = toPaper(win, view, [200, 150]);
    near(toScreen(pan(win, view, 37, -12), view, p), [237, 138]);
  });
  it('what is under the cursor stays there while zooming', () => {
    const at: Pt = [123, 456];
    near(toPaper(zoom(win, view, at, 2.5), view, at), toPaper(win, view, at));
  });
  it('zoom stays within its limits', () => {
    let w = win;
    for (let i = 0; i < 60; i++) w = zoom(w, view, [1, 1], 3);
    expect(view.w / w.w).toBeCloseTo(60, 6);
    for (let i = 0; i < 60; i++) w = zoom(w, view, [1, 1], 0.3);
    expect(view.w / w.w).toBeCloseTo(0.6, 6);
  });
  it('two fingers keep the paper that they hold', () => {
    const was: [Pt, Pt] = [[300, 300], [500, 300]];
    const is: [Pt, Pt] = [[250, 320], [550, 320]];
    const w = pinch(win, view, was, is);
    near(toScreen(w, view, toPaper(win, view, was[0])), is[0]);
    near(toScreen(w, view, toPaper(win, view, was[1])), is[1]);
  });
});
