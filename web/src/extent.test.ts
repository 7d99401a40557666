import { describe, expect, it } from 'vitest';
import type { Bunch, Item } from './engine';
import { extent, groundOf } from './extent';
import { labels } from './labels';

const line = (...p: number[]): Item => ['l', 0, 0.2, [], false, p];
const text = (x: number, y: number, long: number, anchor = 0, turn = 0): Item => ['t', x, y, 2, anchor, turn, false, false, long, 'a word'];
const of = (layer: string, ...items: Item[]): [string, Bunch] => [layer, { kind: 'bunch', layer, id: '', items }];
const hidden = new Set(['ruling', 'legend']);
const all = (bs: [string, Bunch][], mm = 10, around?: [number, number, number, number]) => extent(bs, labels(bs, mm, new Set(), hidden), hidden, groundOf(bs, 279, 216), around);

describe('the ground of a sheet', () => {
  it('ends at the line ruled across it, whatever else is ruled', () => {
    expect(groundOf([of('ruling', line(0, 150, 279, 150), line(0, 152, 279, 152), line(0, 20, 60, 20))], 279, 216)).toEqual([-Infinity, -Infinity, Infinity, 150]);
  });
  it('begins at the line ruled down it: a short rule in the figures cuts nothing off', () => {
    expect(groundOf([of('ruling', line(70, 0, 70, 216), line(0, 20, 60, 20), line(0, 160, 60, 160))], 279, 216)).toEqual([70, -Infinity, Infinity, Infinity]);
  });
});

describe('what is drawn', () => {
  const fence = of('fence', line(100, 50, 200, 50, 200, 120, 100, 120));
  it('has its words in it, as large as they are written', () => {
    const bs = [fence, of('label-point', text(198, 118, 12)), of('label-dimension', text(90, 85, 10, 1, 90))];
    expect(all(bs)).toEqual([88.4, 50, 210, 120]);
    expect(all(bs, 2)[2]).toBeCloseTo(198 + 12 * (11 / 4), 6); // 2 mm is 4 px: written 11 px high
  });
  it('has the bulge of an arc in it', () => expect(all([of('gate', ['a', 0, 0.2, [], 'M100 100A10 10 0 0 1 120 100'])])).toEqual([100, 90, 120, 100]));
  it('has nothing of the sheet\'s own figures in it', () => {
    const bs = [fence, of('ruling', line(70, 0, 70, 216)), of('joint', line(5, 60, 8, 63)), of('legend', text(5, 60, 30))];
    expect(all(bs)).toEqual([100, 50, 200, 120]);
  });
  it('around the ring has its dimensions whole, and no line that leads away', () => {
    const bs = [fence, of('dimension', line(98, 40, 202, 40)), of('label-point', text(205, 60, 20)), of('whip', line(190, 80, 400, 80)), of('label-object', text(380, 80, 20))];
    expect(all(bs, 10, [100, 50, 200, 120])).toEqual([98, 40, 225, 120]);
    const seen = extent(bs, labels(bs, 10, new Set(), hidden), hidden, groundOf(bs, 279, 216), [100, 50, 200, 120], [80, 30, 390, 140]);
    expect(seen).toEqual([98, 40, 400, 120]); // the far word was cut by that window
  });
});
