import type { Command } from '../api/types';
import type { Pixel } from '../geometry/alignment';

/** Which photo a pointer is on. */
export type Face = 'component' | 'foil';

export const otherFace = (face: Face): Face => (face === 'foil' ? 'component' : 'foil');

/** A pointer event in photo pixels; reach is how near counts as on it. */
export interface Pointer {
  face: Face;
  at: Pixel;
  reach: number;
}

/** What a tool shows while a gesture runs; thrown away afterwards. */
export interface Preview {
  points: { face: Face; at: Pixel; role: string; radius?: number }[];
  lines: { face: Face; from: Pixel; to: Pixel; role: string }[];
  paths: { face: Face; path: Pixel[]; width: number; role: string }[];
  hint: string;
}

export const blank: Preview = { points: [], lines: [], paths: [], hint: '' };

/**
 * A tool is a small state machine without DOM. It is told of pointer events in
 * photo pixels and answers by emitting commands; what it shows meanwhile is its
 * preview. A tool that returns true from pointerDown takes the drag.
 */
export interface Tool {
  readonly name: string;
  readonly preview: Preview;
  pointerDown(p: Pointer): boolean;
  pointerMove(p: Pointer): void;
  pointerUp(p: Pointer): void;
  /** Gives up the gesture and returns true if there was one. */
  cancel(): boolean;
}

export type Emit = (command: Command) => void;

/** The nearest of some places within reach, or −1. */
export function nearest(places: readonly Pixel[], p: Pixel, reach: number): number {
  let best = -1;
  let distance = reach;
  places.forEach((q, i) => {
    const d = Math.hypot(q[0] - p[0], q[1] - p[1]);
    if (d <= distance) [best, distance] = [i, d];
  });
  return best;
}

/** A pixel rounded to the tenth that the job text keeps. */
export function tidy(p: Pixel): Pixel {
  return [Math.round(p[0] * 10) / 10, Math.round(p[1] * 10) / 10];
}
