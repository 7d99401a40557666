import { describe, expect, it } from 'vitest';
import { laid, matrix, moved, scaled, toGround, toPixel, wayOf, type Photo } from './photo';
import type { Pt } from './view';

const p: Photo = laid({ blob: new Blob(), w: 400, h: 300 }, [10, 5], 40);
const near = (got: Pt, x: number, y: number) => {
  expect(got[0]).toBeCloseTo(x, 9);
  expect(got[1]).toBeCloseTo(y, 9);
};

describe('a picture under the sketch', () => {
  it('begins over the middle, its top to the north', () => {
    near(toGround(p, [200, 150]), 10, 5);
    near(toGround(p, [200, 0]), 10, 20);
    near(toPixel(p, toGround(p, [17, 230])), 17, 230);
  });
  it('is set to scale by two places and their distance; the first stays', () => {
    const a = toGround(p, [100, 200]);
    const b = toGround(p, [300, 200]); // 20 m as it lies
    const s = scaled(p, a, b, 9.144); // 30 ft by the tape
    near(toGround(s, [100, 200]), a[0], a[1]);
    near(toGround(s, [300, 200]), a[0] + 9.144, a[1]);
    near(toGround(s, [100, 100]), a[0], a[1] + 4.572);
    expect(s.set).toBe(true);
  });
  it('is turned square where the taps are nearly so, and else stays as it lies', () => {
    const a = toGround(p, [100, 200]);
    const b = toGround(p, [300, 180]); // rises by 5.7 degrees
    near(toGround(scaled(p, a, b, 10), [300, 180]), a[0] + 10, a[1]);
    const c = toGround(p, [250, 50]); // 45 degrees
    const s = scaled(p, a, c, 10);
    expect(s.turn).toBe(0);
    near(toGround(s, [250, 50]), a[0] + 10 * Math.SQRT1_2, a[1] + 10 * Math.SQRT1_2);
    near(toGround(scaled(p, a, c, 10, 'north'), [250, 50]), a[0], a[1] + 10);
  });
  it('knows which way the taps run', () => {
    expect(wayOf([0, 0], [10, 1])).toBe('east');
    expect(wayOf([0, 0], [-10, 1])).toBe('west');
    expect(wayOf([0, 0], [-10, -1])).toBe('west');
    expect(wayOf([0, 0], [1, -10])).toBe('south');
    expect(wayOf([0, 0], [5, 5])).toBe('tapped');
  });
  it('twice the same place, or no distance, changes nothing', () => {
    expect(scaled(p, [1, 1], [1, 1], 5)).toBe(p);
    expect(scaled(p, [1, 1], [2, 1], 0)).toBe(p);
  });
  it('is moved by its first place', () => near(toGround(moved(scaled(p, toGround(p, [100, 200]), toGround(p, [300, 200]), 8), [0, 0]), [300, 200]), 8, 0));
  it('lies on the screen as it lies on the ground', () => {
    const s = scaled({ ...p, turn: 30 }, [0, 0], [4, 3], 10, 'tapped');
    const px = ([x, y]: Pt): Pt => [50 + 20 * x, 400 - 20 * y];
    const [a, b, c, d, e, f] = matrix(s, px).match(/-?[\d.]+/g)!.map(Number) as [number, number, number, number, number, number];
    for (const [u, v] of [[0, 0], [400, 0], [120, 280]] as Pt[]) {
      const [x, y] = px(toGround(s, [u, v]));
      expect(a * u + c * v + e).toBeCloseTo(x, 2);
      expect(b * u + d * v + f).toBeCloseTo(y, 2);
    }
  });
});
