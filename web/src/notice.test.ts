import { describe, expect, it } from 'vitest';
import { carried, figuresOf, lost } from './notice';

const notice = 'State of the work at 14:05: 70 ft laid, 90 ft open.\n+ 27.7 ft of raceway, J14 stays. Depth 2\'-6 1/2".';

describe('a change notice', () => {
  it('has its figures and ids', () => expect(figuresOf(notice)).toEqual(['14:05', '70', '90', '27.7', 'J14', "2'-6", '1/2']));
  it('takes other words', () => {
    expect(lost(notice, notice)).toBe('');
    expect(lost(notice, notice.replace('of raceway', 'more raceway, as agreed by telephone on the 3rd'))).toBe('');
    expect(lost(notice, `To the owner.\n${notice}\nRFI 12 goes with it.`)).toBe('');
  });
  it.each([
    ['27.7', '28'], ['27.7', '127.7'], ['70 ft', 'some'], ['J14', 'J15'], ['1/2', '1/4'], ['90 ft open', '9 ft open'],
  ])('does not take %s as %s', (was, is) => expect(lost(notice, notice.replace(was, is))).not.toBe(''));
  it('does not take figures in another order', () => expect(lost('70 ft laid, 90 ft open', '90 ft laid, 70 ft open')).toBe('90'));
});

describe('words that were written over a notice', () => {
  const mine = notice.replace('of raceway', 'more raceway, as agreed on the 3rd') + '\nRFI 12 goes with it.';
  it('stay with the same figures', () => expect(carried(notice, mine, notice)).toBe(mine));
  it('take the figures of the notice as it stands now, each in its place', () => {
    const now = notice.replace('14:05', '15:30').replace('70 ft', '90 ft').replace('90 ft open', '70 ft open');
    expect(carried(notice, mine, now)).toBe(mine.replace('14:05', '15:30').replace('70 ft', '90 ft').replace('90 ft open', '70 ft open'));
    expect(lost(now, carried(notice, mine, now)!)).toBe('');
  });
  it('are of another notice where it says other things', () => expect(carried(notice, mine, notice.replace('J14 stays', 'J14 goes'))).toBeNull());
});
