// Tables come one after the other, so that a press between them is answered: a
// phone takes a second for the whole of a day's work. Paper has all of them at
// once, and so has a page that is come back to, which is scrolled where it was.
import { print } from './print.svelte';

// Whether the page that is entered is come back to.
export const back = { to: false };

export type Grown = { readonly n: number; readonly busy: true | undefined };

// grow counts, from the first, how many of all are drawn by now.
export function grow(all: () => number): Grown {
  let n = $state(back.to ? Infinity : 1);
  const drawn = () => (print.on ? Infinity : n);
  $effect(() => {
    if (n >= all()) return;
    let late: ReturnType<typeof setTimeout> | undefined;
    const frame = requestAnimationFrame(() => (late = setTimeout(() => n++)));
    return () => {
      cancelAnimationFrame(frame);
      clearTimeout(late);
    };
  });
  return {
    get n() {
      return drawn();
    },
    get busy() {
      return drawn() < all() || undefined;
    },
  };
}
