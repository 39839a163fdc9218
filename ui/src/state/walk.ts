import type { Doubtful } from '../api/types';

/** What a doubtful place is known by while the list around it changes. */
export type PlaceKey = string;

export const keyOf = (d: Doubtful): PlaceKey => `${Math.round(d.x)} ${Math.round(d.y)}`;

/** The places in the order in which they are walked: those put off come last. */
export function walkOrder(
  doubtful: readonly Doubtful[],
  skipped: ReadonlySet<PlaceKey>,
): readonly Doubtful[] {
  const open = doubtful.filter((d) => !skipped.has(keyOf(d)));
  return [...open, ...doubtful.filter((d) => skipped.has(keyOf(d)))];
}

/** The place before or after one, round and round; from none, the first or the last. */
export function beside(order: readonly Doubtful[], at: PlaceKey | null, by: 1 | -1): PlaceKey | null {
  if (order.length === 0) return null;
  const i = order.findIndex((d) => keyOf(d) === at);
  const next = i < 0 ? (by > 0 ? 0 : order.length - 1) : (i + by + order.length) % order.length;
  return keyOf(order[next]!);
}

/**
 * Where the walk stands once the list has changed: at the same place while it
 * is still in doubt, else at the first of those that came after it.
 */
export function afterChange(
  before: readonly Doubtful[],
  now: readonly Doubtful[],
  at: PlaceKey | null,
): PlaceKey | null {
  if (at === null) return null;
  const left = new Set(now.map(keyOf));
  if (left.has(at)) return at;
  const i = before.findIndex((d) => keyOf(d) === at);
  const following = [...before.slice(i + 1), ...before.slice(0, Math.max(i, 0))].map(keyOf);
  return following.find((k) => left.has(k)) ?? (now[0] ? keyOf(now[0]) : null);
}
