// How much of the engine is here while it is fetched, from 0 to 1. Where it is
// kept on this device there is nothing to tell.
export const coming = $state({ part: 0 });
