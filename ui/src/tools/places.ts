import type { Place } from '../api/types';
import type { Overlay, Pixel } from '../geometry/alignment';
import { blank, nearest, type Pointer, type Preview, tidy, type Tool } from './tool';

/** A joint as the place tools see it: where it shows on each photo. */
export interface JointPlace {
  foil: Pixel;
  component: Pixel | null;
}

/** Joints on both photos, by the overlay where there is one. */
export function jointPlaces(
  joints: readonly { x: number; y: number }[],
  overlay: Overlay | null,
): JointPlace[] {
  return joints.map(({ x, y }) => ({
    foil: [x, y],
    component: overlay ? overlay.toComponent([x, y]) : null,
  }));
}

/** Nearer than a mark is grabbed: neighbouring leads of a transistor are close, and one may have no joint found. */
const snap = 0.6;

/**
 * The place that a click means. On the component side a lead is kept by its
 * place on that photo; on the foil side by its joint. Either snaps to the joint
 * within reach.
 */
export function placeOf(p: Pointer, joints: readonly JointPlace[]): Place {
  const seen = joints.map((j) => (p.face === 'foil' ? j.foil : (j.component ?? [NaN, NaN])) as Pixel);
  const hit = nearest(seen, p.at, p.reach * snap);
  const at = tidy(hit < 0 ? p.at : (seen[hit] ?? p.at));
  return p.face === 'foil' ? { joint: at } : { at };
}

/** Gives the leads of a part their places, one click after the other. */
export class LeadTool implements Tool {
  readonly name = 'leads';

  constructor(
    private readonly asking: () => string | null,
    private readonly joints: () => readonly JointPlace[],
    private readonly give: (lead: string, place: Place) => void,
  ) {}

  get preview(): Preview {
    const lead = this.asking();
    const hint =
      lead === null ? 'Every lead has its place.' : `Click where lead ${lead} goes through the board.`;
    return { ...blank, hint };
  }

  pointerDown(): boolean {
    return false;
  }

  pointerMove(): void {}

  pointerUp(p: Pointer): void {
    const lead = this.asking();
    if (lead !== null) this.give(lead, placeOf(p, this.joints()));
  }

  cancel(): boolean {
    return false;
  }
}

/** Picks what is at a place: a net, a joint, a part. */
export class PickTool implements Tool {
  readonly name = 'pick';

  constructor(
    private readonly picked: (p: Pointer) => void,
    private readonly hint = 'Click a net to light it up here and on the drawing.',
  ) {}

  get preview(): Preview {
    return { ...blank, hint: this.hint };
  }

  pointerDown(): boolean {
    return false;
  }

  pointerMove(): void {}

  pointerUp(p: Pointer): void {
    this.picked(p);
  }

  cancel(): boolean {
    return false;
  }
}
