import { api, openSession, Trouble } from '../api/client';
import type { Command, Event as BenchEvent, Job, NetLook } from '../api/types';
import { type Overlay, overlayOf } from '../geometry/alignment';
import { type LabelMap, mapOf, netAt } from '../canvas/labels';
import { Result } from './result.svelte';

/** A long work that runs, as the event stream tells of it. */
export interface Work {
  work: string;
  done: number;
  what: string;
}

/** How long a message of something done stays. */
const noticeMs = 5000;

/**
 * The job as the server has it, mirrored, with its results. All changes go
 * through `run`, one after the other, so that two quick clicks arrive in order.
 */
class Bench {
  job = $state.raw<Job | null>(null);
  trouble = $state.raw<Trouble | null>(null);
  notice = $state('');
  pending = $state(0);
  linked = $state(true);
  works = $state.raw<Work[]>([]);

  readonly align = new Result((s) => api.align(s), 'Laying one face over the other', 'align');
  readonly further = new Result((s) => api.further(s), 'Laying further photographs on the main one', 'align');
  readonly copper = new Result((s) => api.copper(s), 'Tracing the copper', 'copper');
  readonly look = new Result<NetLook | null>((s) => this.lookAt(s), 'Measuring a net', 'copper');
  /** Places on the foil photo that no probe gets to, as the person says; not in the job. */
  beyond = $state.raw<readonly (readonly [number, number])[]>([]);
  readonly checking = new Result((s) => api.buzz(this.beyond, s), 'Working out the next check', 'copper');
  readonly circuit = new Result((s) => api.circuit(s), 'Putting the circuit together', 'copper');
  readonly stages = new Result((s) => api.stages(s), 'Finding what the circuit is made of', 'stages');
  readonly next = new Result((s) => api.next(s), 'Working out the next reading', 'suspects');
  readonly suspects = new Result((s) => api.suspects(s), 'Weighing every fault', 'suspects');
  readonly charge = new Result((s) => api.charge(s), 'Working out what is stored', 'charge');
  readonly kinds = new Result((s) => api.kinds(s));
  readonly log = new Result((s) => api.log(s));

  private queue: Promise<unknown> = Promise.resolve();
  private noticeTimer = 0;

  /** Which net of the copper each pixel is on. */
  readonly labels: LabelMap | null = $derived(this.copper.value ? mapOf(this.copper.value.labels) : null);

  readonly overlay: Overlay | null = $derived(this.align.value ? overlayOf(this.align.value) : null);

  /** All of the job that the overlay is found from. */
  readonly alignKey: string = $derived(
    JSON.stringify([
      this.photo('component')?.hash,
      this.photo('foil')?.hash,
      this.job?.pairs,
      this.job?.scale,
    ]),
  );

  /** All of the job that the further photographs are laid by. */
  readonly furtherKey: string = $derived(JSON.stringify([this.photo('foil')?.hash, this.job?.further]));

  /** All of the job that the copper is found from: it is asked for anew only when that changes. */
  readonly copperKey: string = $derived.by(() => {
    const { job } = this;
    if (!job) return '';
    // What a check is taken to say hangs on the parts and the meter, too.
    const checks = job.readings.filter((r) => r.mode === 'continuity' || r.mode === 'ohms');
    const around = checks.length > 0 ? [job.parts, job.wires, job.meters] : [];
    return JSON.stringify([
      this.furtherKey,
      job.samples,
      job.brushed,
      job.cuts,
      job.joins,
      job.scale,
      job.pairs,
      checks,
      around,
    ]);
  });

  /** All of the job that the plan of continuity checks is made from, and what can be reached. */
  readonly checkKey: string = $derived(
    JSON.stringify([this.copperKey, this.job?.parts, this.job?.wires, this.job?.meters, this.beyond]),
  );

  /** The piece of copper at a pixel of the foil photo, by its id. */
  pieceAt(at: readonly [number, number]): string | null {
    return (this.labels && this.copper.value?.nets[netAt(this.labels, at[0], at[1])]?.id) ?? null;
  }

  get revision(): number {
    return this.job?.revision ?? 0;
  }

  photo(side: 'component' | 'foil') {
    return this.job?.photos.find((p) => p.side === side) ?? null;
  }

  get bothPhotos(): boolean {
    return this.photo('component') !== null && this.photo('foil') !== null;
  }

  /** The net of the copper that is looked at closely. */
  private looked = '';

  /** Measures a net of the copper as the copper stands now; none: takes the last one away. */
  lookClosely(net: string | null): void {
    this.looked = net ?? '';
    if (net) this.look.want(`${net} ${this.copperKey}`);
    else this.look.want('');
  }

  private lookAt(signal: AbortSignal): Promise<NetLook | null> {
    return this.looked ? api.net(this.looked, signal) : Promise.resolve(null);
  }

  /** Opens the session with the token of the page's address, then follows the job. */
  async start(): Promise<void> {
    try {
      const token = location.hash.slice(1);
      if (/^[0-9a-f]{32}$/.test(token)) {
        await openSession(token);
        history.replaceState(null, '', location.pathname);
      }
      this.take(await api.job());
      this.listen();
    } catch (e) {
      this.fail(e);
    }
  }

  /** Changes the job. Resolves to whether it was done. */
  do(command: Command): Promise<boolean> {
    return this.run(() => api.command(command));
  }

  // What there is to take back is known only once the changes before have been
  // made, so that keys pressed in quick succession all count.
  undo(): Promise<boolean> {
    return this.run(() => (this.job?.undo ? api.undo() : null), () => `Taken back: ${this.job?.undo}`); // prettier-ignore
  }

  redo(): Promise<boolean> {
    return this.run(() => (this.job?.redo ? api.redo() : null), () => `Done again: ${this.job?.redo}`); // prettier-ignore
  }

  upload(side: 'component' | 'foil', name: string, bytes: Blob): Promise<boolean> {
    return this.run(() => api.upload(side, name, bytes));
  }

  uploadFurther(name: string, bytes: Blob, backlit: boolean): Promise<boolean> {
    return this.run(() => api.uploadFurther(name, bytes, backlit));
  }

  say(words: string): void {
    this.notice = words;
    clearTimeout(this.noticeTimer);
    this.noticeTimer = window.setTimeout(() => (this.notice = ''), noticeMs);
  }

  fail(e: unknown): void {
    this.trouble =
      e instanceof Trouble ? e : new Trouble(String(e), 'reload the page; nothing is lost', 'internal');
  }

  private run(change: () => Promise<Job> | null, done?: () => string): Promise<boolean> {
    const turn = this.queue.then(async () => {
      const words = done?.();
      const made = change();
      if (!made) return false;
      this.pending += 1;
      try {
        this.take(await made);
        this.trouble = null;
        if (words) this.say(words);
        return true;
      } catch (e) {
        this.fail(e);
        return false;
      } finally {
        this.pending -= 1;
      }
    });
    this.queue = turn;
    return turn;
  }

  private take(job: Job): void {
    if (!this.job || job.revision >= this.job.revision) this.job = job;
  }

  private listen(): void {
    const stream = new EventSource('/api/events');
    stream.onopen = () => {
      if (!this.linked) void this.refresh();
      this.linked = true;
    };
    stream.onerror = () => (this.linked = false);
    stream.onmessage = (m: MessageEvent<string>) => this.hear(JSON.parse(m.data) as BenchEvent);
  }

  private hear(e: BenchEvent): void {
    if (e.type === 'changed') {
      if ((e.revision ?? 0) > this.revision && this.pending === 0) void this.refresh();
      return;
    }
    const others = this.works.filter((w) => w.work !== e.work);
    const running =
      e.type === 'progress' ? [{ work: e.work ?? '', done: e.done ?? 0, what: e.what ?? '' }] : [];
    this.works = [...others, ...running];
  }

  private async refresh(): Promise<void> {
    try {
      this.take(await api.job());
    } catch (e) {
      this.fail(e);
    }
  }
}

export const bench = new Bench();
