import type { Brushed } from '../api/types';
import type { Pixel } from '../geometry/alignment';
import { blank, type Emit, type Pointer, type Preview, tidy, type Tool } from './tool';

/** A size in photo pixels that may change while the tool is in hand. */
export type Width = () => number;

/**
 * Brushes over the foil photo what is copper there, or what is bare board. A
 * click makes a dab; a second finger gives the stroke up, since it means to
 * move the photo.
 */
export class BrushTool implements Tool {
  readonly name: string;
  private path: Pixel[] = [];
  private hover: Pixel | null = null;

  constructor(
    private readonly copper: boolean,
    private readonly width: Width,
    private readonly emit: Emit,
  ) {
    this.name = copper ? 'brush copper' : 'brush bare';
  }

  get preview(): Preview {
    const what = this.copper ? 'copper that was missed' : 'what is no copper';
    const hint = `Brush over ${what}. [ and ] change the size of the brush.`;
    const role = this.copper ? 'brushed-copper' : 'brushed-bare';
    const points = this.hover
      ? [{ face: 'foil' as const, at: this.hover, role: 'brush', radius: this.width() / 2 }]
      : [];
    const path = { face: 'foil' as const, path: this.path, width: this.width(), role };
    return { ...blank, hint, points, paths: this.path.length > 0 ? [path] : [] };
  }

  pointerDown(p: Pointer): boolean {
    if (p.face !== 'foil') return false;
    this.path = [p.at];
    return true;
  }

  pointerMove(p: Pointer): void {
    this.hover = p.face === 'foil' ? p.at : null;
    const last = this.path.at(-1);
    if (!last || p.face !== 'foil') return;
    // Nothing of the brush's shape is lost by steps of an eighth of its width.
    if (Math.hypot(p.at[0] - last[0], p.at[1] - last[1]) >= this.width() / 8)
      this.path = [...this.path, p.at];
  }

  pointerUp(p: Pointer): void {
    if (this.path.length === 0) return;
    this.pointerMove(p);
    const path = straightened(this.path, this.width() / 20).map(tidy);
    this.path = [];
    this.emit({
      do: 'brush',
      brushed: { copper: this.copper, width: Math.round(this.width() * 10) / 10, path },
    });
  }

  cancel(): boolean {
    const busy = this.path.length > 0;
    this.path = [];
    return busy;
  }
}

/**
 * A path with as few of its points as keep it within a tolerance of where it was.
 *
 * Source: Douglas and Peucker 1973.
 */
export function straightened(path: readonly Pixel[], tolerance: number): Pixel[] {
  const [first, last] = [path[0], path.at(-1)];
  if (!first || !last) return [];
  if (path.length < 3) return path.length === 2 && same(first, last) ? [first] : [...path];
  let [far, at] = [-1, 0];
  path.forEach((p, i) => {
    const d = offSegment(p, first, last);
    if (d > far) [far, at] = [d, i];
  });
  if (far <= tolerance) return same(first, last) ? [first] : [first, last];
  return [
    ...straightened(path.slice(0, at + 1), tolerance),
    ...straightened(path.slice(at), tolerance).slice(1),
  ];
}

const same = (a: Pixel, b: Pixel): boolean => a[0] === b[0] && a[1] === b[1];

/** How far a place is from a straight line between two. */
export function offSegment(p: Pixel, a: Pixel, b: Pixel): number {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const length = dx * dx + dy * dy;
  const along = length > 0 ? ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length : 0;
  const t = Math.min(1, Math.max(0, along));
  return Math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy);
}

/** How far a place is from what a stroke covers; 0 on it. */
function offStroke(p: Pixel, s: Brushed): number {
  let least = Infinity;
  for (let i = 0; i < s.path.length; i++) {
    const a = s.path[i]!;
    least = Math.min(least, offSegment(p, a, s.path[i + 1] ?? a));
  }
  return Math.max(0, least - s.width / 2);
}

/** What can be rubbed out: the marks on the foil photo, as the job has them. */
export interface Marked {
  brushed: readonly Brushed[];
  samples: readonly { at: Pixel }[];
  cuts: readonly { from: Pixel; to: Pixel }[];
  joins: readonly { from: Pixel; to: Pixel }[];
}

/** Takes away the mark that is clicked: a stroke, a sample, a cut or a join. */
export class EraserTool implements Tool {
  readonly name = 'eraser';

  constructor(
    private readonly marked: () => Marked,
    private readonly emit: Emit,
  ) {}

  readonly preview: Preview = {
    ...blank,
    hint: 'Click a mark of yours to take it away: a stroke, a spot, a cut or a join.',
  };

  pointerDown(): boolean {
    return false;
  }

  pointerMove(): void {}

  pointerUp(p: Pointer): void {
    if (p.face !== 'foil') return;
    const { brushed, samples, cuts, joins } = this.marked();
    const found = [
      ...samples.map((s, index) => ({ do: 'sample' as const, index, off: Math.hypot(s.at[0] - p.at[0], s.at[1] - p.at[1]) })),
      ...cuts.map((s, index) => ({ do: 'cut' as const, index, off: offSegment(p.at, s.from, s.to) })),
      ...joins.map((s, index) => ({ do: 'join' as const, index, off: offSegment(p.at, s.from, s.to) })),
      ...brushed.map((s, index) => ({ do: 'brush' as const, index, off: offStroke(p.at, s) })),
    ].filter((f) => f.off <= p.reach); // prettier-ignore
    // Of several the nearest, of equals the one drawn last, which lies on top.
    const hit = found.sort((a, b) => a.off - b.off || b.index - a.index)[0];
    if (hit) this.emit({ do: hit.do, index: hit.index, remove: true });
  }

  cancel(): boolean {
    return false;
  }
}
