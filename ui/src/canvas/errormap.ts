import type { Spread } from '../api/types';
import type { Pixel } from '../geometry/alignment';

/** The bands of a map of errors: each ends at a level, the last has none. */
export interface Band {
  /** Millimetres or photo pixels; Infinity for the last. */
  upTo: number;
  rgba: readonly [number, number, number, number];
}

/** Levels go 1, 2, 5, 10 …; at most this many are drawn. */
const mostBands = 5;

/** What the grid tells of a place, in the unit that is shown. */
const unitOf = (s: Spread): number => s.mm_per_px ?? 1;

/** Values one lightness step after the other, so that any eye can order them: light is sure, dark is not. */
function shade(part: number): Band['rgba'] {
  const mix = (a: number, b: number): number => Math.round(a + (b - a) * part);
  return [mix(250, 120), mix(240, 0), mix(210, 100), mix(60, 190)];
}

/** Round levels that divide what the grid holds into a few bands. */
export function bandsOf(spread: Spread): Band[] {
  const values = spread.off_px.map((v) => v * unitOf(spread));
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const levels: number[] = [];
  for (let e = Math.floor(Math.log10(least)); e <= Math.ceil(Math.log10(most)); e++)
    for (const m of [1, 2, 5]) levels.push(Number((m * 10 ** e).toPrecision(1)));
  const between = levels.filter((l) => l > least && l < most).slice(-(mostBands - 1));
  const ends = [...between, Infinity];
  return ends.map((upTo, i) => ({ upTo, rgba: shade(ends.length > 1 ? i / (ends.length - 1) : 0) }));
}

/**
 * The error at a part of the photo, 0 to 1 across and down, between the middles
 * of the grid's cells; towards the rim it goes on as it went.
 */
export function errorAt(spread: Spread, across: number, down: number): number {
  const at = (part: number, n: number): [number, number] => {
    const x = Math.min(1, Math.max(0, part)) * n - 0.5;
    const i = Math.min(n - 2, Math.max(0, Math.floor(x)));
    return [i, x - i];
  };
  const [[i, x], [j, y]] = [at(across, spread.columns), at(down, spread.rows)];
  const v = (di: number, dj: number): number => spread.off_px[(j + dj) * spread.columns + i + di] ?? 0;
  const rows = [0, 1].map((dj) => v(0, dj) * (1 - x) + v(1, dj) * x) as [number, number];
  return Math.max(0, rows[0] * (1 - y) + rows[1] * y) * unitOf(spread);
}

/** The bands painted, with a dark line where one ends. */
export function paintErrors(
  spread: Spread,
  bands: readonly Band[],
  width: number,
  height: number,
): Uint8ClampedArray<ArrayBuffer> {
  const out = new Uint8ClampedArray(width * height * 4);
  const of = new Uint8Array(width * height);
  for (let y = 0, k = 0; y < height; y++)
    for (let x = 0; x < width; x++, k++) {
      const value = errorAt(spread, x / (width - 1), y / (height - 1));
      of[k] = bands.findIndex((b) => value <= b.upTo);
    }
  for (let k = 0; k < of.length; k++) {
    const last = k % width === width - 1;
    const ends = (!last && of[k] !== of[k + 1]) || (k + width < of.length && of[k] !== of[k + width]);
    out.set(ends ? [36, 26, 18, 255] : bands[of[k]!]!.rgba, 4 * k);
  }
  return out;
}

/** A few places of the photo with their errors, to be written on it. */
export function errorPlaces(spread: Spread, width: number, height: number): { at: Pixel; value: number }[] {
  const parts = [1 / 8, 3 / 8, 5 / 8, 7 / 8];
  return [1 / 6, 1 / 2, 5 / 6].flatMap((down) =>
    parts.map((across) => ({
      at: [across * (width - 1), down * (height - 1)] as Pixel,
      value: errorAt(spread, across, down),
    })),
  );
}

/** An error in words. */
export function errorWords(value: number, spread: Spread): string {
  const digits = value < 1 ? 2 : 1;
  return spread.mm_per_px ? `${value.toFixed(digits)}\u00a0mm` : `${value.toFixed(1)}\u00a0px`;
}
