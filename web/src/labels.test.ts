import { describe, expect, it } from 'vitest';
import type { Bunch, Item } from './engine';
import { labels, least, tags } from './labels';

const text = (x: number, y: number, s: string, bold = true, turn = 0): Item => ['t', x, y, 3, 0, turn, bold, false, s.length * 2, s];
const bunch = (id: string, ...items: Item[]): [string, Bunch] => [id, { kind: 'bunch', layer: 'points', id, items }];
const at = (ppm: number, first: string[], ...bs: [string, Bunch][]) => labels(bs, ppm, new Set(first), new Set(['ruling']));

describe('words on a sketch', () => {
  const a = bunch('J1', text(0, 0, 'J1'));
  const b = bunch('J2', text(5, 0, 'J2'));
  const far = bunch('J3', text(80, 0, 'J3'));
  it('stand as they are drawn where they can be read', () => expect([...at(4, [], a, b, far).values()]).toEqual([1, 1, 1]));
  it('are never under the least size', () => {
    for (const ppm of [0.6, 1, 2, 3, 3.6, 3.7, 5, 20]) for (const k of at(ppm, [], a, b, far).values()) expect(3 * ppm * k).toBeGreaterThanOrEqual(least - 1e-9);
  });
  it('are left out where they would cover another, and come back closer', () => {
    expect([...at(1, [], a, b, far).keys()]).toEqual(['J1 0', 'J3 0']);
    expect(at(3.5, [], a, b, far).size).toBe(3);
  });
  it('stay where they are picked or wrong', () => expect([...at(1, ['J2'], a, b, far).keys()]).toEqual(['J2 0', 'J3 0']));
  it('lie along what they are turned to', () => {
    const up = bunch('d', text(4, 0, '30 ft', false, 90));
    expect(at(1, [], bunch('J1', text(-30, -20, 'J1')), up).size).toBe(2);
    expect(at(1, [], bunch('J1', text(-1, -15, 'J1')), up).size).toBe(1);
  });
  it('take their leaders with them', () => {
    const [x, y] = [bunch('J1', text(0, 0, 'J1')), bunch('J2', text(5, 0, 'J2'), text(90, 0, 'J2 again'))];
    const line = (...p: number[]): Item => ['l', 0, 0.18, [], false, p];
    const dot: Item = ['c', 0, 0.18, [], 9, 9, 0.4, 0];
    const to = (id: string, ...items: Item[]): [string, Bunch] => [`leader ${id}`, { kind: 'bunch', layer: 'leader', id, items }];
    const all = [x, y, to('J1', line(0, -3, 0, 20), dot), to('J2', line(5, -3, 5, 20), dot, line(90, 0, 99, 9))];
    expect([...at(1, [], ...all).keys()].filter((k) => k.startsWith('leader'))).toEqual(['leader J1 0', 'leader J1 1', 'leader J2 2']);
    expect([...at(1, ['J2'], ...all).keys()].filter((k) => k.startsWith('leader'))).toEqual(['leader J2 0', 'leader J2 1', 'leader J2 2']);
    expect([...at(20, [], ...all).keys()].filter((k) => k.startsWith('leader')).length).toBe(5);
  });
  it('of what is not shown here push nothing away', () => expect(at(1, [], ['r', { kind: 'bunch', layer: 'ruling', id: '', items: [text(0, 0, 'page')] }], a).has('J1 0')).toBe(true));
});

describe('words beside the points of a line', () => {
  const box = (t: { x: number; y: number; anchor: string }, s: string) => {
    const long = 8 * s.length;
    const x = t.x - (t.anchor === 'end' ? long : t.anchor === 'middle' ? long / 2 : 0);
    return [x, t.y - 12, x + long, t.y + 4] as const;
  };
  it('cover neither each other nor a point, and stay within', () => {
    // A run of 45, 90 up and an end close together, in a narrow view and in a wide one.
    for (const [w, h] of [[420, 220], [300, 160], [800, 400]] as const) {
      const at = ([[0.05, 0.2], [0.6, 0.75], [0.9, 0.75], [0.9, 0.45]] as const).map(([x, y]) => [x * w, y * h] as const);
      const words = ['0', '1: 45 left', '2: 90 up', '3'];
      const got = tags(at, words, at, w, h).map((t, i) => box(t, words[i]!));
      got.forEach((a, i) => {
        expect(a[0] >= 0 && a[2] <= w && a[1] >= 0 && a[3] <= h, `${words[i]} within ${w} x ${h}`).toBe(true);
        got.forEach((b, k) => k > i && expect(a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3], `${words[i]} over ${words[k]}`).toBe(false));
        at.forEach(([x, y]) => expect(x > a[0] && x < a[2] && y > a[1] && y < a[3], `${words[i]} over a point`).toBe(false));
      });
    }
  });
});
