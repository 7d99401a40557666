import { describe, expect, it } from 'vitest';
import type { Wrong } from './engine';
import { clip, clusters, seats, wavy } from './wrong';

const at = (...ps: [number, number][]): Wrong => ({ ids: ['R1'], wrong: false, said: '', at: ps });

describe('marks that lie close together', () => {
  const broken = (...ps: [number, number][]): Wrong => ({ ...at(...ps), wrong: true });
  it('are one sign for what is broken, and one for what nobody can tell', () => {
    const c = clusters([at([0, 0]), broken([0.5, 0], [9, 9]), broken([0.6, 0])], (p) => [p[0] * 10, p[1] * 10], 20);
    expect(c.map((s) => [s.wrong, s.of.length])).toEqual([[true, 2], [true, 1], [false, 1]]);
  });
  it('come apart when one comes closer', () => expect(clusters([at([0, 0]), at([0.5, 0])], (p) => [p[0] * 100, p[1] * 100], 20).length).toBe(2));
});

describe('a sign', () => {
  const view = { w: 300, h: 200 };
  const one = (x: number, y: number, wrong = true) => ({ place: [x, y] as [number, number], wrong, of: [] });
  it('stands at its place', () => expect(seats([one(100, 100)], [], view)[0]!.at).toEqual([100, 100]));
  it('stands beside a word, never on it, and in the view', () => {
    const words = [{ x: 2, y: 90, w: 40, h: 12 }, { x: 0, y: 104, w: 60, h: 12 }];
    const [x, y] = seats([one(8, 96)], words, view)[0]!.at;
    expect(words.some((b) => x + 10 > b.x && x - 10 < b.x + b.w && y + 10 > b.y && y - 10 < b.y + b.h)).toBe(false);
    expect(Math.hypot(x - 8, y - 96)).toBeLessThan(50);
    expect(x).toBeGreaterThan(10);
  });
  it('that nobody can tell is not hidden by a broken one at the same place', () => {
    const [a, b] = seats([one(100, 100), one(100, 100, false)], [], view);
    expect(Math.hypot(a!.at[0] - b!.at[0], a!.at[1] - b!.at[1])).toBeGreaterThan(20);
  });
  it('outside of the view is left there', () => expect(seats([one(-500, 20)], [], view)[0]!.at).toEqual([-500, 20]));
});

describe('the wave along what is wrong', () => {
  const view = { w: 100, h: 100 };
  it('begins and ends where the line does', () => {
    const d = wavy([[0, 50], [48, 50]], view);
    expect(d.startsWith('M0.0 50.0')).toBe(true);
    expect(d.endsWith('48.0 50.0')).toBe(true);
    expect(d.match(/Q/g)!.length).toBe(4);
  });
  it('is not drawn for miles outside of the view', () => {
    expect(wavy([[-1e6, 50], [1e6, 50]], view).match(/Q/g)!.length).toBeLessThan(20);
    expect(wavy([[0, 500], [100, 500]], view)).toBe('');
    expect(clip([0, 50], [100, 50], view, 0)).toEqual([[0, 50], [100, 50]]);
  });
});
