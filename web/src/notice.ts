// The words of a change notice are the person's to edit; its figures and ids
// are not: all of them stay, in their order.
const shape = /[A-Z]?\d+(?:[.,:/'-]+\d+)*/g;

export const figuresOf = (text: string): string[] => text.match(shape) ?? [];

// lost names the first figure of a notice that edited words no longer carry in
// its place; nothing where they carry them all.
export function lost(notice: string, words: string): string {
  const now = figuresOf(words);
  let at = 0;
  for (const f of figuresOf(notice)) {
    const i = now.indexOf(f, at);
    if (i < 0) return f;
    at = i + 1;
  }
  return '';
}

// carried puts the figures of a notice as it stands now into words that were
// written over an earlier one; nothing where the notice says other things now.
export function carried(was: string, words: string, now: string): string | null {
  if (was === now) return words;
  if (was.replace(shape, '#') !== now.replace(shape, '#')) return null;
  const [old, next] = [figuresOf(was), figuresOf(now)];
  let i = 0;
  return words.replace(shape, (f) => (f === old[i] ? next[i++]! : f));
}
