// Whether the page is being put on paper: then all of it is drawn, what is
// folded and what comes later too. It is asked here alone, before any screen
// hears of the printing.
import { flushSync } from 'svelte';

export const print = $state({ on: false });

addEventListener('beforeprint', () => flushSync(() => (print.on = true)));
addEventListener('afterprint', () => (print.on = false));
