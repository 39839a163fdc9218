import type { Photo } from '../api/types';
import type { Projection } from 'ol/proj';
import { readable } from '../canvas/picture';
import type { PlatePhoto } from '../canvas/plate';
import { join, photoProjection } from '../canvas/projections';
import type { Overlay } from '../geometry/alignment';

/** Photos by what they show, so that a plate keeps its place while the job changes. */
const shown = new Map<string, PlatePhoto>();

export function photoPlate(photo: Photo | null): PlatePhoto | null {
  if (!photo) return null;
  const key = `${photo.side} ${photo.hash} ${photo.width} ${photo.height}`;
  const known = shown.get(key);
  if (known) return known;
  const fresh = {
    url: readable(photo.side, photo.hash),
    projection: photoProjection(photo.width, photo.height),
  };
  shown.set(key, fresh);
  return fresh;
}

/** The viewer's transforms are registered once for two photos; the overlay that they follow changes. */
let current: Overlay | null = null;
const followed: Overlay = {
  toFoil: (p) => current?.toFoil(p) ?? p,
  toComponent: (p) => current?.toComponent(p) ?? p,
};

export function follow(overlay: Overlay | null): void {
  current = overlay;
}

const joinedPairs = new Set<string>();

export function joinOnce(component: Projection, foil: Projection): void {
  const key = `${component.getCode()} ${foil.getCode()}`;
  if (joinedPairs.has(key)) return;
  joinedPairs.add(key);
  join(component, foil, followed);
}
