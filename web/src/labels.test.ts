import { describe, expect, it } from 'vitest';
import type { Bunch, Item } from './engine';
import { labels, least } from './labels';

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
