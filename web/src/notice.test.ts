import { describe, expect, it } from 'vitest';
import { figuresOf, lost } from './notice';

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
