// Undo by gesture: every entry is one gesture with its sentence, the edits it
// made and the edits that undo them.
import type { Edit } from './engine';

export type Entry = { sentence: string; edits: Edit[]; inverse: Edit[] };

export const depth = 100;

export class History {
  done: Entry[] = [];
  undone: Entry[] = [];

  push(e: Entry): void {
    if (!e.sentence.trim()) throw new Error('a change of the document needs a sentence');
    this.done = [...this.done, e].slice(-depth);
    this.undone = [];
  }

  // back returns the edits that undo the last gesture; took is called once
  // they are made, with what undoes them in turn.
  back(): Entry | undefined {
    return this.done[this.done.length - 1];
  }

  wentBack(inverse: Edit[]): void {
    const e = this.done[this.done.length - 1];
    if (!e) return;
    this.done = this.done.slice(0, -1);
    this.undone = [...this.undone, { ...e, edits: inverse }];
  }

  forth(): Entry | undefined {
    return this.undone[this.undone.length - 1];
  }

  wentForth(inverse: Edit[]): void {
    const e = this.undone[this.undone.length - 1];
    if (!e) return;
    this.undone = this.undone.slice(0, -1);
    this.done = [...this.done, { ...e, inverse }].slice(-depth);
  }
}
