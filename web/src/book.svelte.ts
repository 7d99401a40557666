// The open site as the screens see it: parts of the stages, the picked things,
// undo, and what is kept and sent. Nothing is computed here.
import { untrack } from 'svelte';
import { keep, kept } from './device';
import { coming } from './coming.svelte';
import { Engine, Problem, type Edit, type Gesture, type Head, type RunView, type Trial, type Wrong } from './engine';
import { built } from './example';
import { History } from './history';
import { patched, type Screen } from './parts';
import * as server from './server';
import * as store from './store';
import { en, stages, type StageName } from './words';

export const clock = () => new Date();
export const hm = (iso: string) => {
  const d = new Date(iso);
  return Number.isNaN(d.getTime()) ? iso : `${String(d.getHours()).padStart(2, '0')}:${String(d.getMinutes()).padStart(2, '0')}`;
};

// moment writes a time as it is printed: this device's own hour, with its
// distance from universal time.
export function moment(d: Date): string {
  const two = (n: number) => String(Math.floor(Math.abs(n))).padStart(2, '0');
  const off = -d.getTimezoneOffset();
  return `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())}T${two(d.getHours())}:${two(d.getMinutes())}:${two(d.getSeconds())}${off < 0 ? '-' : '+'}${two(off / 60)}:${two(off % 60)}`;
}

// when is a kept time as it is read: the hour today, the day as well on others.
export const when = (iso: string) => {
  const d = new Date(iso);
  const day = (x: Date) => moment(x).slice(0, 10);
  return Number.isNaN(d.getTime()) || day(d) === day(clock()) ? hm(iso) : `${day(d)} ${hm(iso)}`;
};

// span says how long a time is, in whole minutes.
export function span(ms: number): string {
  const m = Math.round(Math.abs(ms) / 60_000);
  return en.trust.span(Math.floor(m / 1440), Math.floor((m % 1440) / 60), m % 60);
}

const pause = (ms: number) => new Promise((done) => setTimeout(done, ms));

let shared: Engine | null = null;
export const engine = () => (shared ??= new Engine(new URL('engine.wasm', document.baseURI).href, (part) => (coming.part = part)));

type Note = { what: string; mend: string; sending?: boolean };

export class Book {
  row: store.SiteRow;
  head = $state.raw<Head | null>(null);
  screens = $state.raw<Partial<Record<StageName, Screen>>>({});
  stage = $state<StageName>('layout');
  lit = $state.raw<ReadonlySet<string>>(new Set());
  picked = $state.raw<string[]>([]);
  undoable = $state.raw<string | null>(null);
  redoable = $state.raw<string | null>(null);
  undoCount = $state(0);
  live = $state(false); // the engine has the document open
  busy = $state(false);
  keptAt = $state('');
  unkept = $state<'' | 'room' | 'fault'>(''); // what was changed is not on the disk, and why
  unkeptWhy = $state('');
  notSent = $state(0);
  unheard = $state(0); // of those, how many went out without an answer
  skipped = $state(0); // of those, how many do not read
  clockOff = $state<number | null>(null); // this clock against the server's, where that is much
  recovered = $state(''); // what is here after the page before this one was cut off
  offered = $state.raw<store.DraftRow | null>(null); // what was half written then
  takenUp = $state.raw<store.Drawing | null>(null); // of that, what is to be drawn on
  linked = $state(false); // the server knows this site
  sending = $state(false);
  conflict = $state(false);
  readOnly = $state(false);
  note = $state.raw<Note | null>(null);
  now = $state.raw<Trial | null>(null);
  nowStale = $state(false); // that is of the state before
  wrongs = $state.raw<(Wrong & { stale?: boolean })[]>([]); // what is marked on the sketch
  wrongsTold = $state(false); // all of it was worked out once: until then no count is true
  trial = $state.raw<Trial | null>(null); // while something is being dragged
  trialStale = $state(false);
  runTrial = $state.raw<RunView | null>(null); // a run while it is drawn or bent
  runNot = $state(''); // why it cannot be so
  runOld = $state(false); // both are of an earlier place than the one asked for
  private stood: RunView | null = null; // the run as it was told last
  compared = $state('');
  tick = $state(0); // how often the document changed here
  private opened: string; // the text as it was when the site was opened
  private history = new History();
  private line: Promise<unknown> = Promise.resolve();
  private channel = new BroadcastChannel('stubup');
  private unlock: (() => void) | null = null;
  private closed = false;
  drafting = $state(false); // something is being drawn or typed
  oneBack: (() => boolean) | null = null; // takes back the last place of what is being drawn
  private held: store.OutRow[] = []; // changes that are not on the disk yet, oldest first
  private disk: Promise<unknown> = Promise.resolve();
  private acts: Promise<unknown> = Promise.resolve();
  private retry = 0;
  private page = newId();
  private unlost = store.whenLost(() => void this.lost());
  private leaving = () => this.left();
  private backAgain = (e: PageTransitionEvent) => {
    if (e.persisted) this.leftOf('');
  };

  // open says why this page cannot be loaded again now, or nothing.
  get open(): string {
    return this.drafting || this.held.length > 0 ? en.beingWritten : '';
  }

  constructor(row: store.SiteRow) {
    this.row = row;
    this.opened = row.text;
    this.keptAt = row.changed;
    this.linked = !!row.server;
    this.channel.onmessage = (e: MessageEvent<{ site: string }>) => {
      if (e.data.site === this.row.id) void this.reread();
    };
    addEventListener('pagehide', this.leaving);
    addEventListener('pageshow', this.backAgain);
  }

  // A page that ends says so; one that is cut off does not, and the next one
  // tells what is here.
  private leftOf(page: string) {
    try {
      localStorage.setItem(`left ${this.row.id}`, page);
    } catch {
      // where nothing can be noted, nothing is told
    }
  }
  private left() {
    if (!this.readOnly) this.leftOf(this.page);
  }
  private async began() {
    const before = await store.begun(this.row.id, this.page, clock().toISOString()).catch(() => undefined);
    const draft = await store.draft(this.row.id).catch(() => null);
    if (draft && (draft.fields.length > 0 || draft.drawing)) this.offered = draft;
    if (!before?.page) return;
    try {
      // What the page before noted as it went comes from another process, and
      // on a busy machine a moment after this page has begun.
      for (let i = 0; i < 12; i++) {
        if (localStorage.getItem(`left ${this.row.id}`) === before.page) return;
        await pause(250);
      }
    } catch {
      return; // where nothing can be noted, nothing is told
    }
    if (!this.closed) this.recovered = en.trust.recovered(when(this.row.changed), this.row.last ?? '');
  }

  // lost: the browser has closed the database. Where it was cleared, what is
  // open here is written again.
  private async lost() {
    if (this.closed || this.readOnly) return;
    try {
      if (await store.site(this.row.id)) return;
      const at = clock().toISOString();
      this.held = [...this.held, { site: this.row.id, at, sentence: en.trust.again, edits: [], text: this.row.text, request: newId() }];
      await this.flush();
      this.note = { what: en.trust.cleared, mend: en.trust.clearedMend };
    } catch (e) {
      this.tell(e);
    }
  }

  // jot keeps what is half written, a moment after it was touched.
  private jotted: store.DraftRow | null = null;
  private jotting = 0;
  jot(room: string, change: { fields?: store.Field[]; drawing?: store.Drawing | null }) {
    if (this.readOnly || this.closed) return;
    const was = this.jotted;
    if (!was && !change.fields?.length && !change.drawing) return;
    const { drawing: had, ...rest } = was ?? { site: this.row.id, at: '', room, picked: [], fields: [] };
    const drawing = change.drawing === undefined ? had : (change.drawing ?? undefined);
    const next: store.DraftRow = { ...rest, at: clock().toISOString(), room, picked: [...this.picked], fields: change.fields ?? rest.fields, ...(drawing ? { drawing } : {}) };
    this.jotted = next.fields.length > 0 || next.drawing ? next : null;
    clearTimeout(this.jotting);
    const write = this.jotted;
    this.jotting = window.setTimeout(() => void (write ? store.keepDraft(write) : store.dropDraft(this.row.id)).catch(() => {}), 150);
  }
  // A change was made: what was typed is in it.
  private unjot() {
    const was = this.jotted;
    if (!was) return;
    clearTimeout(this.jotting);
    this.jotted = was.drawing ? { ...was, fields: [] } : null;
    void (this.jotted ? store.keepDraft(this.jotted) : store.dropDraft(this.row.id)).catch(() => {});
  }
  // leaveDraft lets go of what was half written.
  leaveDraft() {
    this.offered = null;
    this.jotted = null;
    void store.dropDraft(this.row.id).catch(() => {});
  }

  // start shows the last results, then opens the document in the engine.
  async start(): Promise<void> {
    this.takePencil();
    // The room in view first: what the others said is as much again to read.
    const show = (r: store.ResultRow | undefined) => {
      if (r && !this.screens[r.stage as StageName]) this.screens = { ...this.screens, [r.stage]: { ...r.screen, stale: true } };
    };
    show(await store.result(this.row.id, this.stage).catch(() => undefined));
    if (!this.screens[this.stage])
      void built(this.row.text).then((all) => {
        for (const screen of all) show({ site: this.row.id, stage: screen.stage, screen });
      }, () => {});
    await this.countUp();
    await pause(0); // it is painted before the rest is read
    for (const r of await store.results(this.row.id)) show(r);
    // Undo goes on where it was left, if the document is still the same.
    const undo = await kept<unknown>(`undo ${this.row.id}`).catch(() => undefined);
    if (!this.undoable) this.history = History.taken(undo, this.row.changed);
    this.told();
    await this.openText();
  }

  private async openText() {
    await this.queue(async () => {
      this.head = (await engine().call('open', { Name: this.docName(), Text: this.row.text, AsOf: moment(clock()) })).head;
      this.compared = '';
      this.nowStale = true;
      this.live = true;
    });
    await this.refresh();
  }

  // One tab has the pencil; the others show.
  private takePencil() {
    if (!navigator.locks) return;
    void navigator.locks.request(`site ${this.row.id}`, { ifAvailable: true }, async (got) => {
      if (!got) {
        this.readOnly = true;
        void navigator.locks.request(`site ${this.row.id}`, async () => {
          if (this.closed) return;
          await this.reread();
          this.readOnly = false;
          void this.began();
          await new Promise<void>((done) => (this.unlock = done));
        });
        return;
      }
      void this.began();
      await new Promise<void>((done) => (this.unlock = done));
    });
  }

  private async countUp() {
    const n = await store.notSent(this.row.id);
    const rows = n > 0 ? await store.outbox(this.row.id) : [];
    this.notSent = n;
    this.unheard = rows.filter((r) => r.tried).length;
    this.skipped = n - rows.length;
  }

  private async reread() {
    const row = await store.site(this.row.id);
    if (!row) return;
    await this.countUp();
    this.linked = !!row.server;
    if (row.text === this.row.text) {
      if (this.readOnly) this.row = row;
      return;
    }
    this.row = row;
    this.keptAt = row.changed;
    this.history = new History();
    this.told();
    this.tick++; // what was asked for before is of the text before
    await this.openText();
  }

  close() {
    this.left();
    this.closed = true;
    this.unlost();
    removeEventListener('pagehide', this.leaving);
    removeEventListener('pageshow', this.backAgain);
    this.channel.close();
    this.unlock?.();
  }

  // queue runs one thing after the other: the engine has one document.
  private queue<T>(f: () => Promise<T>): Promise<T> {
    const p = this.line.then(f, f);
    this.line = p.catch(() => {});
    return p;
  }

  async show(s: StageName) {
    this.stage = s;
    if (this.live) await this.refresh();
  }

  // refresh asks for what changed of the stage in view and of those whose
  // numbers stand on every screen.
  async refresh() {
    const at = this.tick;
    const want: StageName[] = [...new Set<StageName>(['layout', this.stage, 'prove'])];
    this.busy = true;
    try {
      if (!this.now || this.nowStale) {
        const now = await this.queue(() => engine().call('now', {}));
        if (at === this.tick) this.nowIs(now);
      }
      for (const s of want) {
        // What is dragged next does not wait for the rooms; a later change asks again.
        while (this.asked && !this.asked.op.startsWith('run') && s !== 'layout' && at === this.tick) await pause(100);
        if (at !== this.tick) return;
        await this.pull(s);
      }
      const { marks } = await this.queue(() => engine().call('marks', {}));
      if (at === this.tick) [this.wrongs, this.wrongsTold] = [marks, true];
      for (const s of stages) {
        // The engine does one thing at a time: the other rooms wait until the
        // hand rests.
        if (!this.screens[s]?.stale || this.fromHere.has(s)) await pause(400);
        while (this.asked) await pause(400);
        if (at !== this.tick) return;
        if (!want.includes(s) && (!this.screens[s] || this.screens[s].stale) && (s !== 'change' || this.compared)) await this.pull(s);
      }
      // The first changes are gone through beforehand, while nobody waits.
      for (; !this.readOnly && this.rested < 3; this.rested++) {
        await pause(300);
        if (at !== this.tick || this.asked) return;
        await this.queue(() => engine().call('rest', {}));
      }
    } catch (e) {
      this.tell(e);
    } finally {
      if (at === this.tick) this.busy = false;
    }
  }

  private async pull(s: StageName) {
    await this.queue(async () => {
      const was = this.screens[s];
      const fresh = !was || !this.fromHere.has(s);
      const p = await engine().call('stage', { Stage: s, Fresh: fresh });
      const screen = patched(fresh ? undefined : was, p);
      this.fromHere.add(s);
      this.screens = { ...this.screens, [s]: screen };
      // A tab without the pencil writes nothing at all; where a change found no
      // room, none is taken for what can be worked out again.
      if (!this.readOnly && this.unkept !== 'room') void store.keepResult({ site: this.row.id, stage: s, screen }).catch(() => {});
    });
  }
  private rested = 0;
  private fromHere = new Set<StageName>(); // stages told by the engine since the document was opened

  private nowIs(t: Trial) {
    this.now = t;
    this.nowStale = this.making;
  }
  private making = false;

  private staleAll() {
    const next: Partial<Record<StageName, Screen>> = {};
    for (const s of stages) if (this.screens[s]) next[s] = { ...this.screens[s], stale: true };
    this.screens = next;
  }

  tell(e: unknown) {
    this.note = e instanceof Problem ? { what: e.what, mend: e.mend } : { what: String(e instanceof Error ? e.message : e), mend: '' };
  }

  private told() {
    this.undoable = this.history.back()?.sentence ?? null;
    this.redoable = this.history.forth()?.sentence ?? null;
    this.undoCount = this.history.done.length;
  }

  // changeNow makes a gesture or edits, keeps them, and asks for the results.
  private async changeNow(what: { Gesture?: Gesture; Edits?: Edit[] }): Promise<boolean> {
    if (this.readOnly) return false;
    try {
      const r = await this.make(what);
      const sentence = r.edits[0]?.sentence ?? '';
      this.history.push({ sentence, edits: r.edits, inverse: r.inverse });
      await this.after(sentence, r);
      return true;
    } catch (e) {
      this.tell(e);
      return false;
    }
  }

  // make asks for the change with all that needs no solve, then at once for the
  // document that is kept and for the resistance; the picture, and what the page
  // asks of the picked thing, come after.
  private async make(what: { Gesture?: Gesture; Edits?: Edit[] }) {
    this.note = null;
    const was = this.nowStale;
    this.making = this.nowStale = true;
    const edit = this.queue(() => engine().call('edit', what));
    const text = this.queue(async () => (await edit, engine().call('text', {})));
    const now = this.queue(async () => (await edit, engine().call('now', {})));
    for (const p of [text, now]) p.catch(() => {}); // told by who waits for it
    const r = await edit.catch((e: unknown) => {
      this.nowStale = was; // refused: all is as it was
      throw e;
    }).finally(() => (this.making = false));
    this.head = r.head;
    this.tick++;
    const at = this.tick;
    this.nowStale = true;
    void now.then((t) => { if (at === this.tick) this.nowIs(t); }, () => {});
    // What needs no solve is told with the change; the rest is of the state before
    // until it is worked out again.
    this.wrongs = [...r.marks, ...this.wrongs.filter((w) => w.later).map((w) => ({ ...w, stale: true }))];
    return { ...r, text };
  }

  private async after(sentence: string, made: { edits: Edit[]; text: Promise<{ text: string }> }) {
    this.told();
    this.staleAll();
    const { edits } = made;
    const { text } = await made.text;
    const at = clock().toISOString();
    this.row = { ...this.row, text, name: this.head?.name ?? this.row.name, revision: this.head?.revision ?? '', changed: at, last: sentence };
    this.held = [...this.held, { site: this.row.id, at, sentence, edits, text, request: newId() }];
    this.unjot();
    await this.flush();
    void this.refresh();
  }

  // flush writes all that is held in one transaction. What does not go in
  // stays held and is tried again.
  private flush(): Promise<void> {
    const p = this.disk.then(async () => {
      const rows = this.held;
      const last = rows[rows.length - 1];
      if (!last) return;
      clearTimeout(this.retry);
      try {
        await store.keep(this.row, rows);
        this.held = this.held.filter((r) => !rows.includes(r));
        this.keptAt = last.at;
        this.unkept = '';
        if (this.held.length === 0) void keep(`undo ${this.row.id}`, this.history.kept(last.at)).catch(() => {}); // of the document that lies on the disk
        if (!this.closed) this.channel.postMessage({ site: this.row.id });
        this.notSent = await store.notSent(this.row.id).catch(() => this.notSent);
      } catch (e) {
        this.unkept = e instanceof store.NoRoom ? 'room' : 'fault';
        this.unkeptWhy = e instanceof Error ? `${e.name}: ${e.message}` : String(e);
        this.retry = window.setTimeout(() => void this.flush(), 2000);
      }
    });
    this.disk = p.catch(() => {});
    return p;
  }

  // act runs changes, undo and redo one after the other, each to its end.
  private act<T>(f: () => Promise<T>): Promise<T> {
    const p = this.acts.then(f, f);
    this.acts = p.catch(() => {});
    return p;
  }

  async undo() {
    if (this.oneBack?.()) return;
    await this.act(() => this.undoNow());
  }
  redo() {
    return this.act(() => this.redoNow());
  }
  change(what: { Gesture?: Gesture; Edits?: Edit[] }): Promise<boolean> {
    return this.act(() => this.changeNow(what));
  }

  private async undoNow() {
    const e = this.history.back();
    if (!e || this.readOnly) return;
    try {
      const r = await this.make({ Edits: e.inverse });
      this.history.wentBack(r.inverse);
      await this.after(`undo: ${e.sentence}`, r);
    } catch (err) {
      this.tell(err);
    }
  }

  private async redoNow() {
    const e = this.history.forth();
    if (!e || this.readOnly) return;
    try {
      const r = await this.make({ Edits: e.edits });
      this.history.wentForth(r.inverse);
      await this.after(e.sentence, r);
    } catch (err) {
      this.tell(err);
    }
  }

  async keepNumbers() {
    try {
      const { edits } = await this.queue(() => engine().call('number', {}));
      await this.change({ Edits: edits });
    } catch (e) {
      this.tell(e);
    }
  }

  // drag asks what the design would be; the last place asked for wins.
  private asked: Gesture | null = null;
  private asking = false;
  async drag(g: Gesture | null) {
    this.asked = g;
    if (!g) {
      this.runTrial = null;
      this.runNot = '';
      this.runOld = false;
      this.trial = null;
      this.trialStale = false;
      return;
    }
    // Until a place is answered for, the figure before it stands, marked as old:
    // at first that of the run as it is. Who asks does not follow the answer.
    untrack(() => {
      this.runOld = g.op.startsWith('run');
      this.trialStale = !this.runOld;
      if (this.runOld && !this.runTrial && !this.runNot && this.stood && (g.id === this.stood.id || this.stood.nodes.some((n) => n.path === g.path))) this.runTrial = this.stood;
    });
    if (this.asking || !this.live) return;
    this.asking = true;
    while (this.asked) {
      const mine: Gesture = this.asked;
      try {
        if (mine.op.startsWith('run')) {
          const v = await this.queue(() => engine().call('run', { Gesture: mine }));
          this.runNot = '';
          if (this.asked) this.runTrial = v;
          if (this.asked !== mine) continue;
          this.runOld = false;
          break;
        }
        const t = await this.queue(() => engine().call('try', { Gesture: mine }));
        if (this.asked === mine) {
          this.trial = t;
          this.trialStale = false;
          break;
        }
        if (this.asked) this.trial = t;
      } catch (e) {
        // A place that the document cannot take is said at once, in the place of
        // the number.
        if (this.asked) {
          const why = e instanceof Problem ? e.what : String(e);
          if (mine.op.startsWith('run')) {
            this.runTrial = null;
            this.runNot = why;
          } else this.trial = { text: why, verdict: '', told: false };
          if (this.asked !== mine) continue;
          this.trialStale = this.runOld = false;
        }
        break;
      }
    }
    this.asking = false;
  }

  // compareAgain compares with what was compared with when the page was closed.
  async compareAgain() {
    const w = await kept<{ name: string; text: string }>(`compared ${this.row.id}`).catch(() => undefined);
    if (w && !this.compared && !this.closed) await this.compare(w.name, w.text);
  }
  async compare(name: string, text: string) {
    void keep(`compared ${this.row.id}`, { name, text }).catch((e: unknown) => this.tell(e));
    this.compared = name; // who asks last is answered
    try {
      await this.queue(() => engine().call('compare', { Name: name, Text: text }));
      const { change: _, ...others } = this.screens;
      this.screens = others;
      this.fromHere.delete('change');
      await this.pull('change');
    } catch (e) {
      this.tell(e);
    }
  }
  // states are what this site was before, of what is not sent yet, oldest first.
  async states(): Promise<store.OutRow[]> {
    const rows = await store.outbox(this.row.id).catch(() => []);
    return rows.filter((r, i) => r.text !== this.row.text && r.text !== rows[i + 1]?.text);
  }
  // before is what the page opened, or where that is what stands the oldest
  // state that is kept.
  async before(): Promise<string> {
    return this.opened !== this.row.text ? this.opened : ((await this.states())[0]?.text ?? this.opened);
  }

  // paperOf is what a file of the site is written from.
  paperOf() {
    return { name: this.docName(), text: this.row.text, asOf: this.head?.asOf ?? moment(clock()) };
  }
  private docName = () => `${this.row.name || 'site'}.yaml`;

  async file(name: string) {
    try {
      const f = await this.queue(() => engine().call('file', { File: name }));
      // The site's own file goes by its name: several lie in one folder.
      save(name === 'site.yaml' ? `${this.row.name.toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '') || 'site'}.yaml` : f.name, f.type, f.text);
    } catch (e) {
      this.tell(e);
    }
  }

  sums() {
    return this.queue(() => engine().call('sums', {}));
  }
  // The calculations that a rod, the ring or a run can be opened in.
  fills(id: string) {
    return this.queue(() => engine().call('fills', { Path: id }));
  }
  sum(name: string, fields: { Key: string; Text: string }[]) {
    return this.queue(() => engine().call('sum', { Name: name, Fields: fields }));
  }
  why(path: string) {
    return this.queue(() => engine().call('why', { Path: path }));
  }
  // lines gives what the document says at a path, key by key, of what fits on
  // one line; lists of places are moved on the sketch.
  async lines(path: string): Promise<{ path: string; key: string; text: string }[]> {
    if (!this.live) return [];
    const { keys } = await this.queue(() => engine().call('get', { Path: path }));
    const all = (keys ?? []).map((key) => ({ path: `${path}.${key}`, key }));
    const texts = await this.queue(() => Promise.all(all.map((l) => engine().call('get', { Path: l.path }))));
    return all.map((l, i) => ({ ...l, text: texts[i]!.text })).filter(({ text }) => text && !text.includes('\n') && !/^[[{]/.test(text.trim()));
  }
  async run(id: string) {
    return (this.stood = await this.queue(() => engine().call('run', { Path: id })));
  }
  // survey is not asked for once the waiting for it was left.
  survey(left: () => boolean) {
    return this.queue(async () => (left() ? undefined : await engine().call('survey', {})));
  }
  profiles() {
    return this.queue(() => engine().call('profiles', {}));
  }
  under(keys: string[], left: () => boolean) {
    return this.queue(async () => (left() ? undefined : await engine().call('under', { Keys: keys })));
  }
  ways(id: string) {
    return this.queue(() => engine().call('ways', { Path: id }));
  }
  spots(id: string, section: number) {
    return this.queue(() => engine().call('spots', { Path: id, At: section }));
  }
  swaps(id: string, step: number) {
    return this.queue(() => engine().call('swaps', { Path: id, At: step }));
  }
  // settled waits until what was asked before is answered: a length that was
  // just typed is read before what is made of it.
  async settled() {
    await this.queue(async () => {});
    await pause(0);
  }
  // get gives what the document says at a path, as it is written.
  async get(path: string): Promise<string> {
    return (await this.queue(() => engine().call('get', { Path: path }))).text;
  }
  // limit gives the owner's limit of resistance as it is written.
  async limit(): Promise<string> {
    for (let i = 0; ; i++) {
      const rule = `owner.rules[${i}]`;
      if (!(await this.get(rule))) return '';
      const text = await this.get(`${rule}.resistance-limit`);
      if (text) return text;
    }
  }
  length(text: string) {
    return this.queue(() => engine().call('length', { Text: text }));
  }

  say(m: number) {
    return this.queue(() => engine().call('say', { M: m }));
  }

  // send gives the server what it has not acknowledged, oldest first. The first
  // makes the site there. What goes out is noted before, as it goes: where its
  // answer is lost it goes again just so, and the server writes it once.
  async send(beside = false) {
    if (this.sending || this.readOnly) return;
    this.sending = true;
    this.conflict = false;
    if (this.note?.sending) this.note = null;
    try {
      let rows = await store.outbox(this.row.id);
      if (!this.row.server && rows.length === 0) {
        await store.keepOut({ site: this.row.id, at: this.row.changed, sentence: en.sites.began, edits: [], text: this.row.text, request: newId() });
        rows = await store.outbox(this.row.id);
      }
      const done: number[] = []; // that go with the one that makes the site
      for (const [i, r] of rows.entries()) {
        try {
          await this.sendOne(r, beside, done);
        } catch (e) {
          // Refused for good: it went nowhere, and may go otherwise.
          if (!(e instanceof server.Refused)) throw e;
          // A server that failed may have written it all the same.
          const { tried: _, ...fresh } = r;
          if (nowhere.has(e.trouble.kind)) await store.keepOut(fresh);
          // What does not read as a site cannot begin one; a later state can.
          if (this.row.server || e.trouble.kind !== 'document' || i === rows.length - 1) throw e;
          done.push(r.n!);
          continue;
        }
        done.length = 0;
      }
      this.linked = !!this.row.server;
      if (this.skipped > 0) this.note = { what: en.trust.skipped(this.skipped), mend: en.trust.skippedMend, sending: true };
    } catch (e) {
      if (e instanceof server.Refused && e.trouble.kind === 'conflict') this.conflict = true;
      else if (e instanceof server.Refused) this.note = { what: e.trouble.what, mend: e.trouble.mend, sending: true };
      else if (e instanceof store.NoRoom) this.note = { what: en.trust.noRoom, mend: en.trust.noRoomMend, sending: true };
      else if (!(e instanceof server.NoServer)) this.tell(e);
      else this.note = { what: 'no server answers', mend: 'all of it is kept here; send later, or take a file out', sending: true };
    } finally {
      await this.countUp().catch(() => {});
      this.clockOff = server.clockWrong();
      this.sending = false;
      if (!this.closed) this.channel.postMessage({ site: this.row.id });
    }
  }

  private async sendOne(r: store.OutRow, beside: boolean, with_: number[]) {
    const at = Number.isNaN(Date.parse(r.at)) ? this.row.created : r.at;
    const sentence = r.sentence.trim() || en.trust.nothingSaid;
    const s = this.row.server;
    r.request ??= newId();
    r.tried ??= { parent: s?.head ?? '', beside };
    await store.keepOut(r);
    this.unheard = Math.max(this.unheard, 1);
    const { parent } = r.tried;
    const out = async () => {
      if (!s || parent === '') {
        const { site, revision } = await server.create(r.text, at, sentence, r.request!);
        return { site: site.id, revision };
      }
      const { revision } = await server.append(s.site, parent, r.text, sentence, at, r.tried!.beside || beside, r.request!);
      return { site: s.site, revision };
    };
    let told: Awaited<ReturnType<typeof out>>;
    try {
      told = await out();
    } catch (e) {
      if (!(e instanceof server.NoServer)) throw e;
      await pause(300); // once more, just so: mostly the answer alone was lost
      told = await out();
    }
    if (told.revision.document !== (await sha256(r.text))) throw new Error(en.trust.otherText);
    const now = { site: told.site, head: told.revision.id };
    await store.sent(this.row.id, now, [...with_, r.n!]);
    this.row = { ...this.row, server: now };
    this.unheard = Math.max(0, this.unheard - 1);
    this.notSent = await store.notSent(this.row.id);
  }
}

// The kinds of a refusal after which nothing was written.
const nowhere = new Set(['conflict', 'document', 'argument', 'not-found', 'too-large', 'refused']);

async function sha256(text: string): Promise<string> {
  return [...new Uint8Array(await crypto.subtle.digest('SHA-256', new TextEncoder().encode(text)))].map((b) => b.toString(16).padStart(2, '0')).join('');
}

// save hands a file to the person.
export function save(name: string, type: string, text: string | Blob) {
  const url = URL.createObjectURL(typeof text === 'string' ? new Blob([text], { type }) : text);
  const a = document.createElement('a');
  a.href = url;
  a.download = name;
  a.click();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

export const newId = () => {
  const t = clock().getTime().toString(36).padStart(9, '0');
  const r = [...crypto.getRandomValues(new Uint8Array(8))].map((b) => (b % 36).toString(36)).join('');
  return t + r;
};
