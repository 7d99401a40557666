// Waiting: nothing is said of it for half a second, and it can be left. The
// last thing asked for is the one that is waited for.
export const patience = 500;

export class Wait {
  on = $state(false);
  late = $state(false);
  private n = 0;
  private timer = 0;

  async for<T>(ask: (left: () => boolean) => Promise<T>): Promise<T | undefined> {
    const mine = ++this.n;
    clearTimeout(this.timer);
    this.on = true;
    if (!this.late) this.timer = window.setTimeout(() => (this.late = true), patience);
    try {
      const r = await ask(() => mine !== this.n);
      return mine === this.n ? r : undefined;
    } finally {
      if (mine === this.n) this.leave();
    }
  }

  leave() {
    this.n++;
    clearTimeout(this.timer);
    this.on = this.late = false;
  }
}
