import { expect, it } from 'vitest';
import type { Part, Patch } from './engine';
import { partsOf, patched } from './parts';

const table = (id: string, title: string): Part => ({ kind: 'table', id, title, columns: [], rows: [], notes: null, empty: '', blank: 0 });
const bunch = (id: string): Part => ({ kind: 'bunch', layer: 'rod', id, items: [] });
const patch = (order: string[], parts: Record<string, Part>): Patch => ({ stage: 'layout', site: 's', asOf: '', summary: [], order, parts, files: [], counts: {} });
const sketch = (...bunches: string[]): Part => ({ kind: 'sketch', id: 'plan', title: '', desc: '', w: 1, h: 1, bunches });

it('parts that did not change are those that were there', () => {
  const one = patched(undefined, patch(['s', 't'], { s: sketch('a', 'b'), a: bunch('a'), b: bunch('b'), t: table('t', 'old') }));
  const two = patched(one, patch(['s', 't'], { t: table('t', 'new') }));
  expect(two.parts['a']).toBe(one.parts['a']);
  expect(partsOf(two, 'table').map((t) => t.title)).toEqual(['new']);
  expect(two.stale).toBe(false);
});
it('what is in no order any more is gone', () => {
  const one = patched(undefined, patch(['s', 't'], { s: sketch('a', 'b'), a: bunch('a'), b: bunch('b'), t: table('t', 'old') }));
  const two = patched(one, patch(['s'], { s: sketch('b') }));
  expect(Object.keys(two.parts).sort()).toEqual(['b', 's']);
});
