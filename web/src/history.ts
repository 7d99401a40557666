// Undo by gesture: every entry is one gesture with its sentence, the edits it
// made and the edits that undo them.
import type { Edit } from './engine';

export type Entry = { sentence: string; edits: Edit[]; inverse: Edit[] };

export const depth = 100;

// Kept is what of it stays on the device, with the moment of the document that it
// belongs to: none of it fits any other.
export type Kept = { of: string; done: Entry[]; undone: Entry[] };

const isEdits = (x: unknown): x is Edit[] => Array.isArray(x) && x.every((e: Partial<Edit> | null) => [e?.path, e?.old, e?.new].every((s) => typeof s === 'string'));
const isEntries = (x: unknown): x is Entry[] => Array.isArray(x) && x.every((e: Partial<Entry> | null) => typeof e?.sentence === 'string' && isEdits(e.edits) && isEdits(e.inverse));

export class History {
  done: Entry[] = [];
  undone: Entry[] = [];

  // taken is what was kept of the document as it was at that moment, empty where
  // it is of another or does not read.
  static taken(kept: unknown, of: string): History {
    const h = new History();
    const k = kept as Partial<Kept> | null | undefined;
    if (of !== '' && k?.of === of && isEntries(k.done) && isEntries(k.undone)) [h.done, h.undone] = [k.done.slice(-depth), k.undone];
    return h;
  }

  kept(of: string): Kept {
    return { of, done: this.done, undone: this.undone };
  }

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
