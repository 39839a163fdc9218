/** Something that runs and can be stopped. */
export interface Running {
  /** What is being done, in words: Tracing the copper. */
  readonly what: string;
  /** Its name on the event stream, empty where that tells nothing of it. */
  readonly work: string;
  stop(): void;
  again(): void;
}

/** What has been running for longer than a person takes for at once. */
class LongWorks {
  list = $state.raw<readonly Running[]>([]);
  /** What somebody stopped, and nobody has asked for since. */
  halted = $state.raw<readonly Running[]>([]);

  add(work: Running): void {
    if (!this.list.includes(work)) this.list = [...this.list, work];
  }

  remove(work: Running): void {
    if (this.list.includes(work)) this.list = this.list.filter((w) => w !== work);
  }

  /** It has begun anew. */
  begun(work: Running): void {
    if (this.halted.includes(work)) this.halted = this.halted.filter((w) => w !== work);
  }

  /** Goes on with what was stopped. */
  goOn(): void {
    for (const w of this.halted) w.again();
  }

  /** Stops everything: a work whose result another waits for would only start anew for that one. */
  stopAll(): void {
    this.halted = this.list;
    for (const w of this.list) w.stop();
  }
}

export const longWorks = new LongWorks();

/** How long something may run before it shows, in milliseconds. */
export const atOnce = 500;
