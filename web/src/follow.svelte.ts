// A run that is looked at: asked for again after each change of the document.
// An answer that a later change has overtaken is dropped.
import type { Book } from './book.svelte';
import type { RunView } from './engine';

export class Followed {
  run = $state.raw<RunView | null>(null);
  private seen = -1;

  constructor(of: () => [Book, string]) {
    $effect(() => {
      const [book, id] = of();
      const at = book.tick;
      if (!book.live || at === this.seen) return;
      this.seen = at;
      void book.run(id).then((r) => { if (at === book.tick) this.run = r; }, () => {});
    });
  }
}
