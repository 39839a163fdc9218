import { Trouble } from '../api/client';
import { atOnce, longWorks, type Running } from './running.svelte';

/**
 * A result that the server computes from the job. It is asked for when a panel
 * wants it for a revision, keeps what it had until the new answer is there, and
 * gives up an answer that a newer revision has overtaken. What takes longer
 * than half a second shows among the long works, where it can be stopped.
 */
export class Result<T> implements Running {
  value = $state.raw<T | null>(null);
  trouble = $state.raw<Trouble | null>(null);
  loading = $state(false);
  /** Somebody stopped it; what was there before stays. */
  stopped = $state(false);
  private asked = '';
  private running: AbortController | null = null;
  private timer: ReturnType<typeof setTimeout> | undefined;

  constructor(
    private readonly ask: (signal: AbortSignal) => Promise<T>,
    readonly what = '',
    readonly work = '',
  ) {}

  /** Asks for the result as of a revision (or any other key), once. */
  want(key: string | number): void {
    if (this.asked === String(key)) return;
    this.asked = String(key);
    void this.load();
  }

  /** Gives up what is being computed; the bench stops working on it. */
  stop(): void {
    if (!this.loading) return;
    this.running?.abort();
    this.ended();
    this.stopped = true;
  }

  /** Asks anew for what was asked last. */
  again(): void {
    void this.load();
  }

  private async load(): Promise<void> {
    this.running?.abort();
    const run = new AbortController();
    this.running = run;
    [this.loading, this.stopped] = [true, false];
    longWorks.begun(this);
    if (this.what) this.timer ??= setTimeout(() => longWorks.add(this), atOnce);
    try {
      const value = await this.ask(run.signal);
      if (run.signal.aborted) return;
      this.value = value;
      this.trouble = null;
    } catch (e) {
      if (run.signal.aborted) return;
      this.value = null;
      this.trouble =
        e instanceof Trouble ? e : new Trouble(String(e), 'reload the page; nothing is lost', 'internal');
    }
    this.ended();
  }

  private ended(): void {
    this.loading = false;
    clearTimeout(this.timer);
    this.timer = undefined;
    longWorks.remove(this);
  }
}
