import type {
  Alignment,
  Charge,
  Checking,
  Circuit,
  Command,
  Copper,
  DemoReading,
  Expected,
  Further,
  Job,
  KindInfo,
  LogEntry,
  Marking,
  NetLook,
  Next,
  Problem,
  Quantity,
  Stages,
  Suspects,
  Waves,
} from './types';

/** What went wrong, in words for a person, and what to do about it. */
export class Trouble extends Error {
  constructor(
    message: string,
    readonly next: string,
    readonly kind: string,
  ) {
    super(message);
  }
}

const json = { 'Content-Type': 'application/json' };

async function troubleOf(response: Response): Promise<Trouble> {
  let problem: Partial<Problem> = {};
  try {
    problem = (await response.json()) as Partial<Problem>;
  } catch {
    // Not one of our answers; the words below stand in for it.
  }
  const fields = (problem.errors ?? []).map((f) => `${f.where}: ${f.text}`).join('; ');
  const detail = problem.detail ?? `the bench answered with status ${response.status}`;
  return new Trouble(
    fields ? `${detail} (${fields})` : detail,
    problem.next ?? '',
    problem.kind ?? 'internal',
  );
}

async function ask(path: string, init?: RequestInit): Promise<Response> {
  let response: Response;
  try {
    response = await fetch(path, { credentials: 'same-origin', ...init });
  } catch (e) {
    if (e instanceof DOMException && e.name === 'AbortError') throw e;
    throw new Trouble(
      'the bench does not answer',
      'see whether foilside still runs in its window; nothing that it said was saved is lost',
      'gone',
    );
  }
  if (!response.ok) throw await troubleOf(response);
  return response;
}

async function get<T>(path: string, signal?: AbortSignal): Promise<T> {
  return (await (await ask(path, { signal })).json()) as T;
}

async function post<T>(path: string, body?: unknown): Promise<T> {
  const init: RequestInit = { method: 'POST', headers: json };
  if (body !== undefined) init.body = JSON.stringify(body);
  return (await (await ask(path, init)).json()) as T;
}

function query(fields: Record<string, string | undefined>): string {
  const q = new URLSearchParams();
  for (const [name, value] of Object.entries(fields)) if (value) q.set(name, value);
  return '?' + q.toString();
}

/** Trades the token in the page's fragment for the session cookie. */
export async function openSession(token: string): Promise<void> {
  await ask('/api/session', { method: 'POST', body: token });
}

/** What to follow over time, and which stretch of it to show; not after from: the whole. */
export interface WaveWish {
  for: string;
  watch: readonly string[];
  state: string;
  settled: boolean;
  leaps: boolean;
  from: number;
  to: number;
}

/** How the drawing is wanted; what is left out is the customary. */
export interface DrawingWish {
  standard: 'iec' | 'ieee';
  look: 'screen' | 'night' | 'print';
  form?: 'svg' | 'pdf' | 'png';
  code?: boolean;
  points?: boolean;
  suspects?: boolean;
}

export function drawingPath(w: DrawingWish): string {
  const yes = (b: boolean | undefined): string | undefined => (b ? 'yes' : undefined);
  const values = w.code ? 'code' : undefined;
  return (
    '/api/drawing' +
    query({
      standard: w.standard,
      look: w.look,
      form: w.form,
      values,
      points: yes(w.points),
      suspects: yes(w.suspects),
    })
  );
}

export const api = {
  job: (signal?: AbortSignal) => get<Job>('/api/job', signal),
  log: (signal?: AbortSignal) => get<LogEntry[]>('/api/log', signal),
  command: (c: Command) => post<Job>('/api/command', c),
  undo: () => post<Job>('/api/undo'),
  redo: () => post<Job>('/api/redo'),
  align: (signal?: AbortSignal) => get<Alignment>('/api/align', signal),
  copper: (signal?: AbortSignal) => get<Copper>('/api/copper', signal),
  net: (id: string, signal?: AbortSignal) => get<NetLook>('/api/net' + query({ id }), signal),
  buzz: (beyond: readonly (readonly [number, number])[], signal?: AbortSignal) =>
    get<Checking>('/api/buzz' + query({ beyond: beyond.flat().join(',') }), signal),
  circuit: (signal?: AbortSignal) => get<Circuit>('/api/circuit', signal),
  stages: (signal?: AbortSignal) => get<Stages>('/api/stages', signal),
  further: (signal?: AbortSignal) => get<Further[]>('/api/further', signal),
  next: (signal?: AbortSignal) => get<Next>('/api/next', signal),
  suspects: (signal?: AbortSignal) => get<Suspects>('/api/suspects', signal),
  charge: (signal?: AbortSignal) => get<Charge>('/api/charge', signal),
  kinds: (signal?: AbortSignal) => get<KindInfo[]>('/api/kinds', signal),
  marking: (text: string, kind: string) => get<Marking>('/api/marking' + query({ text, kind })),
  quantity: (text: string, unit: string) => get<Quantity>('/api/quantity' + query({ text, unit })),
  expect: (r: { mode: string; red: string; black?: string; state?: string; meter?: string }) =>
    get<Expected>('/api/expect' + query(r)),
  waves: (w: WaveWish, signal?: AbortSignal) => {
    const q = new URLSearchParams({ for: w.for, from: String(w.from), to: String(w.to) });
    for (const net of w.watch) q.append('watch', net);
    if (w.state) q.set('state', w.state);
    if (w.settled) q.set('settled', 'true');
    if (w.leaps) q.set('leaps', 'true');
    return get<Waves>(`/api/waves?${q.toString()}`, signal);
  },
  demoReading: (r: { mode: string; red: string; black?: string; state?: string; meter?: string }) =>
    get<DemoReading>('/api/demo-reading' + query(r)),
  async upload(side: string, name: string, bytes: Blob): Promise<Job> {
    const path = `/api/photo/${side}` + query({ name });
    return (await (await ask(path, { method: 'PUT', body: bytes })).json()) as Job;
  },
  async uploadFurther(name: string, bytes: Blob, backlit: boolean): Promise<Job> {
    const path = '/api/further' + query({ name, backlit: backlit ? 'yes' : undefined });
    return (await (await ask(path, { method: 'PUT', body: bytes })).json()) as Job;
  },
  async drawing(wish: DrawingWish, signal?: AbortSignal): Promise<string> {
    return (await ask(drawingPath(wish), { signal })).text();
  },
  async sheet(form: 'html' | 'pdf', signal?: AbortSignal): Promise<Blob> {
    return (await ask(`/api/sheet/${form}`, { signal })).blob();
  },
};
