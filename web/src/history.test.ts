import { describe, expect, it } from 'vitest';
import { History, depth } from './history';

const edit = (n: number) => ({ path: 'x', old: String(n), new: String(n + 1), sentence: `step ${n}` });
const back = (n: number) => ({ path: 'x', old: String(n + 1), new: String(n), sentence: `step ${n}` });

describe('undo by gesture', () => {
  it('refuses a change without a sentence', () => expect(() => new History().push({ sentence: ' ', edits: [edit(1)], inverse: [back(1)] })).toThrow());
  it('is a hundred deep and comes back the way it went', () => {
    const h = new History();
    let x = 0;
    for (let n = 0; n < 130; n++) {
      h.push({ sentence: `step ${n}`, edits: [edit(n)], inverse: [back(n)] });
      x = n + 1;
    }
    expect(h.done.length).toBe(depth);
    const run = (es: { old: string; new: string }[]) => {
      for (const e of es) {
        expect(e.old).toBe(String(x));
        x = Number(e.new);
      }
    };
    for (let e = h.back(); e; e = h.back()) {
      run(e.inverse);
      h.wentBack(e.edits);
    }
    expect(x).toBe(30);
    for (let e = h.forth(); e; e = h.forth()) {
      run(e.edits);
      h.wentForth(e.inverse);
    }
    expect(x).toBe(130);
  });
  it('is taken up again on the document that it was kept of, and on no other', () => {
    const h = new History();
    for (let n = 0; n < 3; n++) h.push({ sentence: `step ${n}`, edits: [edit(n)], inverse: [back(n)] });
    h.wentBack([edit(2)]);
    const kept: unknown = JSON.parse(JSON.stringify(h.kept('at noon')));
    const again = History.taken(kept, 'at noon');
    expect([again.back(), again.forth(), again.done.length]).toEqual([h.back(), h.forth(), 2]);
    for (const x of [kept, undefined, null, 'x', { ...(kept as object), of: '' }]) expect(History.taken(x, x === kept ? 'later' : '').done).toEqual([]);
    for (const done of ['x', [null], [{ sentence: 'a', edits: [{ path: 'x' }], inverse: [] }], [{ edits: [], inverse: [] }]]) expect(History.taken({ of: 'at noon', done, undone: [] }, 'at noon').done).toEqual([]);
  });
  it('a new gesture ends what could be redone', () => {
    const h = new History();
    h.push({ sentence: 'a', edits: [edit(0)], inverse: [back(0)] });
    h.wentBack([edit(0)]);
    expect(h.forth()?.sentence).toBe('a');
    h.push({ sentence: 'b', edits: [edit(0)], inverse: [back(0)] });
    expect(h.forth()).toBeUndefined();
  });
});
