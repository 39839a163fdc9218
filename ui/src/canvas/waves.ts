import type { Trace } from '../api/types';

/** From and to, of time or of volts. */
export type Stretch = readonly [number, number];

/** Round marks along a stretch, about as many as wanted. */
export function ticks([from, to]: Stretch, wanted: number): number[] {
  const span = to - from;
  if (!(span > 0)) return [];
  const rough = span / wanted;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((k) => k * power).find((s) => s >= rough) ?? 10 * power;
  const out: number[] = [];
  for (let k = Math.ceil(from / step - 1e-9); k * step <= to + 1e-9 * span; k++) out.push(k * step);
  return out;
}

/** The volts that a trace reaches within a stretch of time, with some room around. */
export function reach(trace: Trace, time: readonly number[], [from, to]: Stretch): Stretch {
  let [low, high] = [Infinity, -Infinity];
  time.forEach((t, i) => {
    // A column before the window may hold points within it.
    if (t > to || (time[i + 1] ?? Infinity) < from) return;
    low = Math.min(low, trace.low[i]!);
    high = Math.max(high, trace.high[i]!);
  });
  if (!(high >= low)) return [-1, 1];
  const room = Math.max(0.08 * (high - low), 1e-3, 0.02 * Math.abs(high));
  return [low - room, high + room];
}

/** The path of a trace: from column to column, and up and down within those that stand for much. */
export function tracePath(
  trace: Trace,
  time: readonly number[],
  x: (t: number) => number,
  y: (v: number) => number,
): string {
  let path = '';
  time.forEach((t, i) => {
    const [low, high] = [trace.low[i]!, trace.high[i]!];
    const at = x(t).toFixed(1);
    path += `${path ? 'L' : 'M'}${at} ${y(low).toFixed(1)}`;
    if (high !== low) path += `L${at} ${y(high).toFixed(1)}`;
  });
  return path;
}

/** What a trace has at a time: between the columns beside it a straight line. */
export function valueAt(trace: Trace, time: readonly number[], t: number): number {
  const middle = (i: number): number => (trace.low[i]! + trace.high[i]!) / 2;
  let [a, b] = [0, time.length - 1];
  while (b - a > 1) {
    const m = (a + b) >> 1;
    if (time[m]! <= t) a = m;
    else b = m;
  }
  const span = time[b]! - time[a]!;
  if (!(span > 0)) return middle(a);
  const share = Math.min(1, Math.max(0, (t - time[a]!) / span));
  return middle(a) + share * (middle(b) - middle(a));
}

/** A window made larger or smaller about a time, within the whole. */
export function zoomed([from, to]: Stretch, about: number, factor: number, whole: number): Stretch {
  const span = Math.min(whole, Math.max((to - from) * factor, whole * 1e-7));
  const share = (about - from) / (to - from);
  return moved([about - share * span, about + (1 - share) * span], 0, whole);
}

/** A window moved, kept within the whole. */
export function moved([from, to]: Stretch, by: number, whole: number): Stretch {
  const span = Math.min(to - from, whole);
  const start = Math.min(Math.max(from + by, 0), whole - span);
  return [start, start + span];
}
