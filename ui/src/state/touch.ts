import type { CircuitNet } from '../api/types';
import type { Pixel } from '../geometry/alignment';

/** The places on the foil photo where a net can be touched. */
export function foilPlaces(net: CircuitNet | null): Pixel[] {
  return (net?.leads ?? []).flatMap((l): Pixel[] => (l.foil ? [l.foil] : []));
}

/** The place of each list, if any, that lies farthest from the other's. */
export function farApart(a: readonly Pixel[], b: readonly Pixel[]): [Pixel | null, Pixel | null] {
  let best: [Pixel | null, Pixel | null] = [a[0] ?? null, b[0] ?? null];
  let apart = -1;
  for (const p of a) {
    for (const q of b) {
      const d = Math.hypot(p[0] - q[0], p[1] - q[1]);
      if (d > apart) [best, apart] = [[p, q], d];
    }
  }
  return best;
}
