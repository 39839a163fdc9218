import { Trouble } from '../api/client';

/**
 * A result that the server computes from the job. It is asked for when a panel
 * wants it for a revision, keeps what it had until the new answer is there, and
 * gives up an answer that a newer revision has overtaken.
 */
export class Result<T> {
  value = $state.raw<T | null>(null);
  trouble = $state.raw<Trouble | null>(null);
  loading = $state(false);
  private asked = '';
  private running: AbortController | null = null;

  constructor(private readonly ask: (signal: AbortSignal) => Promise<T>) {}

  /** Asks for the result as of a revision (or any other key), once. */
  want(key: string | number): void {
    if (this.asked === String(key)) return;
    this.asked = String(key);
    void this.load();
  }

  /** Asks anew for what was asked last. */
  again(): void {
    void this.load();
  }

  private async load(): Promise<void> {
    this.running?.abort();
    const run = new AbortController();
    this.running = run;
    this.loading = true;
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
    this.loading = false;
  }
}
