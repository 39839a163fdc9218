import type { Alignment, Lens } from '../api/types';

/** A pixel of a photo: x right, y down. */
export type Pixel = [number, number];

/** The radius that a lens shows a point of undistorted radius r at. */
function distort(p: Pixel, lens: Lens): Pixel {
  const [dx, dy] = [p[0] - lens.centre[0], p[1] - lens.centre[1]];
  const k = 1 + lens.k1 * ((dx * dx + dy * dy) / (lens.norm * lens.norm));
  return [lens.centre[0] + dx * k, lens.centre[1] + dy * k];
}

/** The inverse of distort by Newton steps on the radius; four suffice for any lens that a phone has. */
function undistort(p: Pixel, lens: Lens): Pixel {
  const [dx, dy] = [p[0] - lens.centre[0], p[1] - lens.centre[1]];
  const seen = Math.hypot(dx, dy) / lens.norm;
  if (seen === 0 || lens.k1 === 0) return [p[0], p[1]];
  let r = seen;
  for (let i = 0; i < 6; i++) r -= (r + lens.k1 * r ** 3 - seen) / (1 + 3 * lens.k1 * r * r);
  const k = r / seen;
  return [lens.centre[0] + dx * k, lens.centre[1] + dy * k];
}

function project(m: readonly number[], [x, y]: Pixel): Pixel {
  const [a, b, c, d, e, f, g, h, i] = m as [
    number, number, number, number, number, number, number, number, number,
  ]; // prettier-ignore
  const w = g * x + h * y + i;
  return [(a * x + b * y + c) / w, (d * x + e * y + f) / w];
}

/** The inverse of a 3 × 3 matrix, up to scale (enough for a projective map). */
function adjugate(m: readonly number[]): number[] {
  const [a, b, c, d, e, f, g, h, i] = m as [
    number, number, number, number, number, number, number, number, number,
  ]; // prettier-ignore
  return [
    e * i - f * h, c * h - b * i, b * f - c * e,
    f * g - d * i, a * i - c * g, c * d - a * f,
    d * h - e * g, b * g - a * h, a * e - b * d,
  ]; // prettier-ignore
}

/** Maps pixels of one photo to the other, both ways, by an alignment. */
export interface Overlay {
  toFoil(p: Pixel): Pixel;
  toComponent(p: Pixel): Pixel;
}

const plainLens: Lens = { centre: [0, 0], norm: 1, k1: 0 };

function usable(lens: Lens): Lens {
  return lens.norm > 0 ? lens : plainLens;
}

/** The overlay of an alignment: undistort, matrix, distort. */
export function overlayOf(alignment: Alignment): Overlay {
  const component = usable(alignment.lens.component);
  const foil = usable(alignment.lens.foil);
  const back = adjugate(alignment.matrix);
  return {
    toFoil: (p) => distort(project(alignment.matrix, undistort(p, component)), foil),
    toComponent: (p) => distort(project(back, undistort(p, foil)), component),
  };
}
