import type { Overlay, Pixel } from './alignment';

/**
 * How steps on the foil photo look once it is turned over to lie as the
 * component side does, near a place: [a, b, c, d] takes (x, y) to
 * (a·x + c·y, b·x + d·y), with the area kept.
 */
export type Turn = readonly [number, number, number, number];

export const unturned: Turn = [1, 0, 0, 1];

export function turnAt(overlay: Overlay | null, foil: Pixel): Turn {
  if (!overlay) return unturned;
  const o = overlay.toComponent(foil);
  const x = overlay.toComponent([foil[0] + 1, foil[1]]);
  const y = overlay.toComponent([foil[0], foil[1] + 1]);
  const [a, b, c, d] = [x[0] - o[0], x[1] - o[1], y[0] - o[0], y[1] - o[1]];
  const size = Math.sqrt(Math.abs(a * d - b * c));
  return size > 0 ? [a / size, b / size, c / size, d / size] : unturned;
}

/** The step on the photo that looks like a given step on the turned picture. */
export function unturn(turn: Turn, step: Pixel): Pixel {
  const [a, b, c, d] = turn;
  const det = a * d - b * c;
  return [(d * step[0] - c * step[1]) / det, (a * step[1] - b * step[0]) / det];
}
