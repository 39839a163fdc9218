import type { Copper, Doubtful, Job, NetLook } from '../api/types';
import type { Line, Mark, Path } from '../canvas/marks';
import type { Name } from '../canvas/plate';
import type { Pixel } from '../geometry/alignment';
import { length } from '../words/quantity';
import { keyOf, type PlaceKey } from './walk';

/** Doubtful places marked besides the one looked at: a photo full of marks tells nothing. */
const doubtsMarked = 10;

/** Neighbours whose nearest places are drawn. */
const gapsDrawn = 8;

/** The joints: those of lit nets stand out. */
export function jointMarks(copper: Copper | null, lit: ReadonlySet<string>): Mark[] {
  return (copper?.joints ?? []).map((j) => ({
    at: [j.x, j.y],
    role: lit.has(j.net) ? 'lit-joint' : 'joint',
  }));
}

/** The doubtful places, and with the one looked at where to put the test leads, if it is to be measured. */
export function doubtMarks(order: readonly Doubtful[], now: PlaceKey | null, measuring: boolean): Mark[] {
  const marks = order.flatMap((d, i): Mark[] => {
    if (keyOf(d) === now) return [{ at: [d.x, d.y], role: 'doubtful-now', label: String(i + 1) }];
    return i < doubtsMarked ? [{ at: [d.x, d.y], role: 'doubtful' }] : [];
  });
  const place = order.find((d) => keyOf(d) === now);
  if (!place || !measuring) return marks;
  const [red, black] = place.between;
  return [...marks, { at: black, role: 'black' }, { at: red, role: 'red' }];
}

/** Cuts and joins; a join between far places is only hinted at, for it runs over what it does not mean. */
export function evidenceLines(job: Job | null, photoWidth: number): Line[] {
  const far = (from: Pixel, to: Pixel): boolean =>
    Math.hypot(from[0] - to[0], from[1] - to[1]) > photoWidth / 40;
  return [
    ...(job?.cuts ?? []).map((s) => ({ ...s, role: 'cut' as const })),
    ...(job?.joins ?? []).map((s) => ({
      ...s,
      role: far(s.from, s.to) ? ('link' as const) : ('join' as const),
    })),
  ];
}

export function brushPaths(job: Job | null): Path[] {
  return (job?.brushed ?? []).map((s) => ({
    path: s.path,
    width: s.width,
    role: s.copper ? 'brushed-copper' : 'brushed-bare',
  }));
}

/** Where the neighbours of a net come nearest to it. */
export function gapLines(look: NetLook | null): Line[] {
  return (look?.neighbours ?? []).slice(0, gapsDrawn).map((n) => ({ from: n.from, to: n.to, role: 'gap' }));
}

/**
 * What is written on the photo while a net is lit, the most telling first: how
 * near the nearest neighbour is, the leads in its joints, the neighbours.
 */
export function litNames(
  copper: Copper | null,
  lit: ReadonlySet<string>,
  look: NetLook | null,
  leadsAt: (at: Pixel) => string,
  name: (net: string) => string,
): Name[] {
  const [nearest] = look?.neighbours ?? [];
  const gap = nearest && {
    at: [(nearest.from[0] + nearest.to[0]) / 2, (nearest.from[1] + nearest.to[1]) / 2] as Pixel,
    text: length(nearest.width_px, nearest.width_mm),
  };
  const joints = (copper?.joints ?? []).filter((j) => lit.has(j.net));
  const leads = joints.map((j): Name => ({ at: [j.x, j.y], text: leadsAt([j.x, j.y]) }));
  const beside = new Set((look?.neighbours ?? []).map((n) => name(n.net)));
  const others = netNames(copper, name).filter((n) => beside.has(n.text));
  return [...(gap ? [gap] : []), ...leads.filter((l) => l.text), ...others];
}

/** The narrowest place of a net's tracks. */
export function narrowMarks(look: NetLook | null): Mark[] {
  const t = look?.tracks;
  if (!t || t.least_px > 0.9 * t.usual_px) return [];
  return [{ at: t.narrow, role: 'narrow', label: length(t.least_px, t.least_mm) }];
}

/** The names of nets, each at its joint nearest to the middle of them all. */
export function netNames(copper: Copper | null, name: (net: string) => string): Name[] {
  const places = new Map<string, Pixel[]>();
  for (const j of copper?.joints ?? []) {
    if (j.net) places.set(j.net, [...(places.get(j.net) ?? []), [j.x, j.y]]);
  }
  return [...places].map(([net, joints]) => ({ at: middlemost(joints), text: name(net) }));
}

function middlemost(places: readonly Pixel[]): Pixel {
  const mean = (i: 0 | 1): number => places.reduce((sum, p) => sum + p[i], 0) / places.length;
  const [x, y] = [mean(0), mean(1)];
  const off = (p: Pixel): number => Math.hypot(p[0] - x, p[1] - y);
  return places.reduce((best, p) => (off(p) < off(best) ? p : best));
}

/** The part of a photo that shows some places with room around them. */
export function around(places: readonly Pixel[], least: number): { at: Pixel; width: number } {
  const [xs, ys] = [places.map((p) => p[0]), places.map((p) => p[1])];
  const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const width = Math.max(least, (right - left) * 1.5, (bottom - top) * 2.2);
  return { at: [(left + right) / 2, (top + bottom) / 2], width };
}
