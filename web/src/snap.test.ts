import { describe, expect, it } from 'vitest';
import type { Thing } from './engine';
import { foot, gridStep, inch, inside, near, onRing, snap } from './snap';

const fence: Thing = { id: 'fence', kind: 'fence', said: '', path: 'objects.fence', at: [5, 5], lines: [[0, 0], [10, 0], [10, 10], [0, 10]], closed: true, handles: [{ path: 'objects.fence.corners[0]', at: [0, 0] }] };
const ring: Thing = { ...fence, id: 'ring', kind: 'ring', handles: undefined, lines: [[1, 1], [9, 1], [9, 9], [1, 9]] };
const pad: Thing = { id: 'pad', kind: 'pad', said: '', path: 'objects.pad', at: [4, 4], lines: [[3, 3], [5, 3], [5, 5], [3, 5]], closed: true };

describe('snapping: point, line, angle, grid, and the word for it', () => {
  it('a point wins over the line that it is on', () => expect(snap([0.1, 0.1], [fence], '', 0.3, 0.1)).toEqual({ at: [0, 0], word: 'at fence' }));
  it('a line wins over the grid, in whole steps from its corner', () => {
    const s = snap([4.07, 0.12], [fence], '', 0.3, 0.5);
    expect(s.word).toBe('on fence');
    expect(s.at[0]).toBeCloseTo(4, 9);
    expect(s.at[1]).toBe(0);
  });
  it('an angle wins over the grid', () => {
    const s = snap([7.02, 5.05], [], '', 0.3, 1, [5, 5]);
    expect(s.word).toBe('square');
    expect(s.at).toEqual([7, 5]);
    expect(snap([7.03, 7], [], '', 0.3, 1, [5, 5]).word).toBe('45');
  });
  it('what is being moved does not catch itself', () => expect(snap([0.1, 0.1], [fence], 'fence', 0.3, 1).word).toBe('grid'));
  it('a kind that a thing cannot join does not catch it', () => expect(snap([3.02, 4], [pad], '', 0.3, 0.5).word).toBe('grid'));
  it('a rod always stands on the ring', () => {
    const s = onRing([4.2, 3.1], ring, 0.5);
    expect(s.at[1]).toBe(1);
    expect(s.at[0]).toBeCloseTo(4, 9);
  });
});

describe('grid', () => {
  it('is the finest step that is eight pixels or more', () => {
    expect(gridStep('us', 400)).toBe(inch);
    expect(gridStep('us', 30)).toBe(foot);
    expect(gridStep('si', 100)).toBe(0.1);
  });
});

describe('what lies under a finger', () => {
  it('is listed nearest first', () => expect(near([1, 1.05], [fence, ring, pad], 1.5).map((t) => t.id)[0]).toBe('ring'));
  it('is a solid thing when one is inside of it, and not a fence', () => expect(near([4, 4], [fence, ring, pad], 0.2).map((t) => t.id)).toEqual(['pad']));
  it('inside is by the even and odd rule', () => {
    expect(inside([4, 4], pad.lines!)).toBe(true);
    expect(inside([6, 4], pad.lines!)).toBe(false);
  });
});
