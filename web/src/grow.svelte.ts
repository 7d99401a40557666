// Tables come one after the other, so that a press between them is answered: a
// phone takes a second for the whole of a day's work. Paper has all of them at
// once, and so has a page that is come back to, which is scrolled where it was.
import { flushSync } from 'svelte';

// Whether the page that is entered is come back to.
export const back = { to: false };

export type Grown = { readonly n: number; readonly busy: true | undefined };

// grow counts, from the first, how many of all are drawn by now.
export function grow(all: () => number): Grown {
  let n = $state(back.to ? Infinity : 1);
  $effect(() => {
    if (n >= all()) return;
    let late: ReturnType<typeof setTimeout> | undefined;
    const frame = requestAnimationFrame(() => (late = setTimeout(() => n++)));
    return () => {
      cancelAnimationFrame(frame);
      clearTimeout(late);
    };
  });
  $effect(() => {
    const whole = () => flushSync(() => (n = Infinity));
    addEventListener('beforeprint', whole);
    return () => removeEventListener('beforeprint', whole);
  });
  return {
    get n() {
      return n;
    },
    get busy() {
      return n < all() || undefined;
    },
  };
}
