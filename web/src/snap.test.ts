import { describe, expect, it } from 'vitest';
import type { Thing } from './engine';
import { feet, foot, gridStep, inch, spoken, inside, joins, near, onRing, snap, type Ask } from './snap';
import type { Pt } from './view';

const fence: Thing = { id: 'fence', kind: 'fence', said: '', path: 'objects.fence', at: [5, 5], lines: [[0, 0], [10, 0], [10, 10], [0, 10]], closed: true, handles: [{ path: 'objects.fence.corners[0]', at: [0, 0] }] };
const ring: Thing = { ...fence, id: 'ring', kind: 'ring', handles: undefined, lines: [[1, 1], [9, 1], [9, 9], [1, 9]] };
const pad: Thing = { id: 'pad', kind: 'pad', said: '', path: 'objects.pad', at: [4, 4], lines: [[3, 3], [5, 3], [5, 5], [3, 5]], closed: true };

const ask = (kind: string, step: number, more: Partial<Ask> = {}): Ask => ({ kind, reach: 0.3, step, units: 'si', ...more });

describe('snapping: point, line, angle, grid, and the word for it', () => {
  it('a point wins over the line that it is on', () => expect(snap([0.1, 0.1], [fence], ask('pad', 0.1))).toEqual({ at: [0, 0], word: 'at fence' }));
  it('a line wins over the angle and the grid, in whole steps from its corner', () => {
    const s = snap([4.07, 0.12], [fence], ask('pad', 0.5, { from: [4, 5] }));
    expect(s.word).toBe('on fence, 4 m from its corner');
    expect(s.at[0]).toBeCloseTo(4, 9);
    expect(s.at[1]).toBe(0);
    expect(s.guide![0]).toEqual([0, 0]);
  });
  it('an angle wins over the grid', () => {
    const s = snap([7.02, 5.05], [], ask('run', 1, { from: [5, 5] }));
    expect(s.word).toBe('square, 2 m');
    expect(s.at).toEqual([7, 5]);
    const d = snap([7.03, 7], [], ask('run', 1, { from: [5, 5] }));
    expect(d.word).toBe('45, 2.828 m');
    expect(d.at).toEqual([7, 7]);
  });
  it('the grid is counted from the line that it is taped from, on its own slant too', () => {
    const s = snap([4.1, 1.15], [fence], ask('pad', 0.5));
    expect(s.word).toBe('1 m from fence');
    expect(s.at[0]).toBeCloseTo(4, 9);
    expect(s.at[1]).toBeCloseTo(1, 9);
    const slant: Thing = { ...fence, lines: [[0, 0], [8, 6]], closed: false, handles: undefined };
    const q = snap([4 - 0.6 * 1.1, 3 + 0.8 * 1.1], [slant], ask('pad', 0.5)); // 1.1 m off its middle
    expect(q.word).toBe('1 m from fence');
    expect(q.at[0]).toBeCloseTo(4 - 0.6, 9);
    expect(q.at[1]).toBeCloseTo(3 + 0.8, 9);
    expect(q.guide![0]).toEqual([4, 3]);
    expect(snap([40.2, 40.2], [fence], ask('pad', 0.5)).word).toBe('grid, 0.5 m');
  });
  it('says feet and inches where the site does', () => {
    expect(snap([4.1, 2 * foot + 0.02], [fence], ask('pad', foot, { units: 'us' })).word).toBe("2'-0\" from fence");
    expect(feet(30.5 * inch)).toBe("2'-6 1/2\"");
    expect(feet(11.9999 * inch)).toBe("1'-0\"");
    expect(feet(0.76, 'si')).toBe('0.76 m');
  });
  it('what is being moved does not catch itself', () => expect(snap([0.1, 0.1], [fence], ask('fence', 1, { skip: 'fence' })).word).toBe('grid, 1 m'));
  it('a rod always stands on the ring, in whole steps or, with the switch off, where the finger is', () => {
    const s = onRing([4.2, 3.1], ring, 0.5, 'si');
    expect(s.at[1]).toBe(1);
    expect(s.at[0]).toBeCloseTo(4, 9);
    expect(s.word).toBe('on ring, 3 m from its corner');
    const free = onRing([4.2, 3.1], ring, 0);
    expect(free.at).toEqual([4.2, 1]);
    expect(free.word).toBe('on ring');
  });
});

describe('what may join what', () => {
  const at = (kind: string, place: Pt, ...ts: Thing[]) => snap(place, ts, ask(kind, 0.5)).word;
  const trench: Thing = { ...pad, id: 'trench', kind: 'trench', lines: [[3, 3], [5, 3]], closed: false };
  const run: Thing = { ...trench, id: 'fiber-1', kind: 'run', handles: [{ path: '', at: [3, 3] }] };
  it.each([
    ['a rod on the ring', 'rod', [4, 1.1], ring, 'on ring'],
    ['a rod at a corner of the ring', 'rod', [1.1, 1.1], ring, 'at ring'],
    ['a pad beside a pad', 'pad', [4, 3.1], pad, 'on pad'],
    ['a gate in the fence', 'gate', [4, 0.1], fence, 'on fence'],
    ['a tap on a ring that is there', 'taps', [4, 1.1], ring, 'on ring'],
    ['a handhole on a run', 'handhole', [4, 3.1], run, 'on fiber 1'],
    ['a run in a trench', 'run', [4, 3.1], trench, 'on trench'],
  ] as [string, string, Pt, Thing, string][])('%s', (_, kind, place, thing, word) => expect(at(kind, place, thing)).toMatch(new RegExp(`^${word}\\b`)));
  it.each([
    ['a rod on a fence', 'rod', [4, 0.1], fence],
    ['a gate on the ring', 'gate', [4, 1.1], ring],
    ['a pad on the buried ring', 'pad', [4, 1.1], ring],
    ['a lug on the ring', 'lugs', [4, 1.1], ring],
    ['a run on a run', 'run', [4, 3.1], run],
    ['a ring that is there on a fence', 'there', [4, 0.1], fence],
    ['a kind that nobody knows on anything', 'barn', [4, 3.1], pad],
  ] as [string, string, Pt, Thing][])('never %s', (_, kind, place, thing) => expect(at(kind, place, thing)).not.toMatch(/^(at|on) /));
  it('the table speaks of kinds that there are', () => {
    const kinds = new Set([...Object.keys(joins), 'utility', 'mast']);
    for (const [kind, j] of Object.entries(joins)) for (const other of [...j.points, ...j.lines]) expect(kinds, `${kind} to ${other}`).toContain(other);
  });
});

describe('grid', () => {
  it('is the finest step that is eight pixels or more', () => {
    expect(gridStep('us', 400)).toBe(inch);
    expect(gridStep('us', 30)).toBe(foot);
    expect(gridStep('si', 100)).toBe(0.1);
  });
  it('is seen as eight to some twenty pixels at every distance of work, and its fine one as one at least', () => {
    for (const units of ['us', 'si'] as const) {
      for (let ppm = 3; ppm < 600; ppm *= 1.07) {
        const px = gridStep(units, ppm) * ppm;
        expect(px, `${units} at ${ppm}`).toBeGreaterThanOrEqual(8);
        expect(px, `${units} at ${ppm}`).toBeLessThan(25);
        const fine = gridStep(units, ppm, 1);
        expect(fine).toBeLessThan(gridStep(units, ppm));
        expect(fine * ppm).toBeGreaterThanOrEqual(1);
      }
    }
  });
  it('is said as a tape says it', () => {
    expect([inch / 2, 2 * inch, 6 * inch, foot, 5 * foot].map((m) => spoken(m, 'us'))).toEqual(['1/2 in', '2 in', '6 in', '1 ft', '5 ft']);
    expect([0.01, 0.2, 1].map((m) => spoken(m, 'si'))).toEqual(['10 mm', '200 mm', '1 m']);
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
