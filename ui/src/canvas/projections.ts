import { addCoordinateTransforms, Projection } from 'ol/proj';
import type { Overlay, Pixel } from '../geometry/alignment';

/** Viewer coordinates have y upwards; photo pixels have it downwards. */
export const toCoordinate = (p: Pixel): Pixel => [p[0], -p[1]];
export const toPixel = (c: readonly number[]): Pixel => [c[0] ?? 0, -(c[1] ?? 0)];

let made = 0;

/** A projection whose coordinates are one photo's pixels. Each has a name of its own, since the viewer keeps transforms by name. */
export function photoProjection(width: number, height: number): Projection {
  made += 1;
  const extent = [-0.5, -(height - 0.5), width - 0.5, 0.5];
  return new Projection({ code: `photo:${made}`, units: 'pixels', extent });
}

/** Joins two photos' projections by the overlay, so that the viewer warps either onto the other as it draws. */
export function join(component: Projection, foil: Projection, overlay: Overlay): void {
  addCoordinateTransforms(
    component,
    foil,
    (c) => toCoordinate(overlay.toFoil(toPixel(c))),
    (c) => toCoordinate(overlay.toComponent(toPixel(c))),
  );
}
