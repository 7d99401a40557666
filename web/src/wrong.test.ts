import { describe, expect, it } from 'vitest';
import type { Wrong } from './engine';
import { clip, clusters, wavy } from './wrong';

const at = (...ps: [number, number][]): Wrong => ({ ids: ['R1'], wrong: false, said: '', at: ps });

describe('marks that lie close together', () => {
  it('are one sign, and a broken one gives it its shape', () => {
    const c = clusters([at([0, 0]), { ...at([0.5, 0], [9, 9]), wrong: true }], (p) => [p[0] * 10, p[1] * 10], 20);
    expect(c.length).toBe(2);
    expect(c[0]!.wrong).toBe(true);
    expect(c[0]!.of.length).toBe(2);
    expect(c[1]!.of.length).toBe(1);
  });
  it('come apart when one comes closer', () => expect(clusters([at([0, 0]), at([0.5, 0])], (p) => [p[0] * 100, p[1] * 100], 20).length).toBe(2));
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
