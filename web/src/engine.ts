// Calls to the engine and the shapes of its answers. Everything that ends on
// paper is worked out behind these calls.
import type { Ask, Begin, Tell } from './engine.worker';

declare const __ENGINE_BYTES__: number; // of the engine of this build, unpacked

export type Edit = { path: string; old: string; new: string; sentence: string; splice?: unknown };
export type Diag = { code: string; level: 'error' | 'warning'; line: number; path: string; what: string; mend: string };
export type Head = {
  name: string; revision: string; units: 'us' | 'si'; grid: 'ft' | 'm'; asOf: string; site: string; engine: string;
  numbered: boolean; counts: Record<string, number>; diags: Diag[];
};
export type Pen = [ink: number, width: number, dash: number[]];
export type Item =
  | ['l', ...Pen, boolean, number[]]
  | ['a', ...Pen, string]
  | ['c', ...Pen, number, number, number, number]
  | ['p', number, number[], number, number, string]
  | ['t', number, number, number, number, number, boolean, boolean, number, string];
export type Bunch = { kind: 'bunch'; layer: string; id: string; items: Item[] };
export type Frame = { ratio: number; zero: [number, number]; drawn: [number, number, number, number] };
export type SketchPart = { kind: 'sketch'; id: string; title: string; desc: string; w: number; h: number; frame?: Frame; bunches: string[] };
export type Cell = string | { t: string; m?: string; b?: boolean };
export type TablePart = {
  kind: 'table'; id: string; title: string; columns: { head: string; unit?: string; right?: boolean }[];
  rows: Cell[][]; notes: string[] | null; empty: string; blank: number;
};
export type ListPart = { kind: 'list'; title: string; lines: string[] };
export type Thing = {
  id: string; kind: string; said: string; path: string; at: [number, number];
  lines?: [number, number][]; closed?: boolean; handles?: { path: string; at: [number, number] }[]; moves?: 'rod' | 'object' | 'run';
};
export type ThingsPart = { kind: 'things'; things: Thing[] };
export type Cite = { work: string; edition?: string; place?: string; seen: string; note?: string };
export type Outcome = 'broken' | 'cannot tell' | 'holds' | 'does not apply';
export type Finding = {
  rule: string; title: string; force: string; outcome: Outcome; path?: string; required?: string; found?: string;
  margin?: string; mend?: string; note?: string; points?: string[]; waived?: string; cite: Cite | null; value?: string;
};
export type FindingsPart = { kind: 'findings'; findings: Finding[] };
export type NumberRow = { path: string; name: string; text: string; standing: string; made: boolean };
export type NumbersPart = { kind: 'numbers'; numbers: NumberRow[] };
export type Served = { key: string; item: string; for: string[]; said: string; price?: string; words: string; by: string; sum?: string };
export type ServesPart = { kind: 'serves'; rows: Served[]; total: string };
export type Mark = { id: string; how: 'added' | 'moved' | 'removed'; at: [number, number]; was?: [number, number]; line?: [number, number][] };
export type ChangedPart = { kind: 'changed'; marks: Mark[] };
export type Part = ChangedPart | Bunch | SketchPart | TablePart | ListPart | ThingsPart | FindingsPart | NumbersPart | ServesPart;
export type Patch = {
  stage: string; site: string; asOf: string; summary: string[]; order: string[]; parts: Record<string, Part>;
  files: string[]; counts: Record<string, number>;
};
export type Value = {
  path: string; name: string; value: number; unit: string; text: string; standing: string; figures: string;
  equation?: string; put?: string; outside?: string; cite?: Cite;
};
// What is wrong, or cannot be told, at the things that it belongs to.
export type Wrong = { ids: string[]; wrong: boolean; said: string; mend?: string; at: [number, number][]; along?: boolean; later?: boolean };
export type Why = { depth: number; value: Value };
export type Trial = { text: string; verdict: string; told: boolean };
export type Gesture = {
  op: 'move' | 'point' | 'rod' | 'rods' | 'add' | 'remove' | 'ring' | 'whip' | 'set' | 'spots' | 'whips' | 'limit' | 'run' | 'run-corner' | 'run-pull' | 'run-fitting' | 'run-size' | 'run-way' | 'price';
  id?: string; path?: string; kind?: string; by?: [number, number]; at?: [number, number]; places?: [number, number][];
  ids?: string[]; text?: string; fields?: { Key: string; Text: string }[]; say?: string;
};

export type RunSection = { name: string; degrees: number; sum: string; outcome: Outcome; over?: string; length: string; tension?: string; span: [number, number] };
export type RunStep = { path: string; kind: string; said: string; laid: boolean; swaps: boolean; size?: string; inner?: string };
export type RunNode = { at: [number, number, number]; side: [number, number]; space: [number, number]; step: number; path: string; said: string; bend?: string; moves: boolean };
export type RunView = {
  id: string; said: string; ok: boolean; length: string; degrees: number; steps: RunStep[]; nodes: RunNode[]; sections: RunSection[];
  plan: [number, number][]; side: [number, number][]; space: [number, number][]; laid: number; money?: string; limits: string; hints: string[];
};
export type Profile = { key: string; said: string; on: boolean };
export type Turned = { title: string; place: string; was: string; would: string; cite: string };
export type Difference = { turned: Turned[]; same: number; counts: Record<string, number>; edits: Edit[] };
export type Spot = { station: string; said: string; sums: string; holds: boolean; why?: string };
export type Swap = { text: string; said: string; sums: string; length: string; now: boolean; note?: string; problem?: string; outcome: Outcome };
export type Way = {
  said: string; sums: string; outcome: Outcome; length: string; new: string; tension: string; cost: string; money: string; corners: string[];
  leaves?: string; notes: string[]; needs?: string; blocked?: string;
};

export type SumInput = { name: string; meaning: string; unit: string; write: string; choices: { name: string; means: string }[]; required: boolean; or: string; default: string; many: boolean; example: string };
export type Sum = { name: string; what: string; inputs: SumInput[]; cautions: string[] };
export type SumAnswer = {
  sum: string; what: string; given: string[]; figures: string[]; rows: string[]; values: Record<string, Value>; verdicts: Record<string, 'holds' | 'broken'>;
  outside: string[]; notes: string[]; cautions: string[];
};
export type Filled = { name: string; fields: { Key: string; Text: string }[] };
export type SumFault = { input: string; what: string; mend: string };

export class Problem extends Error {
  constructor(readonly what: string, readonly mend: string) {
    super(`${what}. ${mend}`);
  }
}

type Calls = {
  open: [{ Name: string; Text: string; AsOf: string }, { head: Head }];
  edit: [{ Edits?: Edit[]; Gesture?: Gesture }, { head: Head; edits: Edit[]; inverse: Edit[]; marks: Wrong[] }];
  marks: [object, { marks: Wrong[] }];
  rest: [object, { done: boolean }];
  text: [object, { text: string }];
  number: [object, { edits: Edit[] }];
  try: [{ Edits?: Edit[]; Gesture?: Gesture }, Trial];
  now: [object, Trial];
  stage: [{ Stage: string; Fresh?: boolean }, Patch];
  run: [{ Path?: string; Gesture?: Gesture }, RunView];
  survey: [object, Patch];
  profiles: [object, { profiles: Profile[] }];
  under: [{ Keys: string[] }, Difference];
  ways: [{ Path: string }, { ways: Way[] }];
  spots: [{ Path: string; At: number }, { spots: Spot[]; notes: string[] }];
  swaps: [{ Path: string; At: number }, { swaps: Swap[] }];
  why: [{ Path: string }, { from: Why[]; uses: Why[] | null }];
  compare: [{ Name: string; Text: string }, object];
  get: [{ Path: string }, { text: string; keys: string[] | null }];
  length: [{ Text: string }, { m: number; said: string }];
  say: [{ M: number }, { said: string }];
  file: [{ File: string }, { name: string; type: string; text: string }];
  sums: [object, { sums: Sum[] }];
  sum: [{ Name: string; Fields: { Key: string; Text: string }[] }, { answer?: SumAnswer; faults?: SumFault[] }];
  fills: [{ Path: string }, { fills: Filled[] }];
  starter: [object, { text: string }];
  blank: [{ Text?: 'si' }, { text: string }];
};

export class Engine {
  readonly ready: Promise<string>;
  lastMs: Record<string, number> = {};
  private worker: Worker;
  private n = 0;
  private waiting = new Map<number, { name: string; done: (out: string) => void; fail: (e: Error) => void }>();

  // coming hears how much of the engine is here, in parts of one, where it must
  // be fetched first.
  constructor(url: string, coming: (part: number) => void = () => {}) {
    this.worker = new Worker(new URL('./engine.worker.ts', import.meta.url), { type: 'module' });
    this.ready = new Promise((done, fail) => {
      this.worker.onmessage = (e: MessageEvent<Tell>) => {
        const m = e.data;
        if ('ready' in m) {
          performance.mark('engine-ready');
          done(m.ready);
        } else if ('part' in m) coming(m.part);
        else if ('broken' in m) {
          const err = new Problem(m.broken, 'reload the page; the document is kept');
          fail(err);
          for (const w of this.waiting.values()) w.fail(err);
          this.waiting.clear();
        } else {
          const w = this.waiting.get(m.n);
          this.waiting.delete(m.n);
          if (w) {
            this.lastMs[w.name] = m.ms;
            w.done(m.out);
          }
        }
      };
      this.worker.onerror = (e) => fail(new Problem(e.message || 'the engine did not start', 'reload the page; the document is kept'));
    });
    this.ready.catch(() => {});
    this.worker.postMessage({ start: url, bytes: navigator.serviceWorker?.controller ? 0 : __ENGINE_BYTES__ } satisfies Begin);
  }

  async call<K extends keyof Calls>(name: K, arg: Calls[K][0]): Promise<Calls[K][1]> {
    await this.ready;
    const n = ++this.n;
    const out = await new Promise<string>((done, fail) => {
      this.waiting.set(n, { name, done, fail });
      this.worker.postMessage({ n, name, arg: JSON.stringify(arg) } satisfies Ask);
    });
    const j = JSON.parse(out) as Calls[K][1] & { problem?: { what: string; mend: string } };
    if (j.problem) throw new Problem(j.problem.what, j.problem.mend);
    return j;
  }
}
