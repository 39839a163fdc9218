import type { Pixel } from '../geometry/alignment';

/** Something drawn at a place of a photo. */
export interface Mark {
  at: Pixel;
  role: MarkRole;
  label?: string;
  /** In photo pixels, for a mark that has a size of its own. */
  radius?: number;
}

/** A straight line on a photo. */
export interface Line {
  from: Pixel;
  to: Pixel;
  role: LineRole;
  label?: string;
}

/** A brush stroke on a photo; a path of one place is a dab. */
export interface Path {
  path: Pixel[];
  /** In photo pixels. */
  width: number;
  role: PathRole;
}

export type MarkRole =
  | 'pair' | 'bad-pair' | 'half' | 'guess' | 'moving' | 'joint' | 'lit-joint' | 'lead' | 'copper' | 'bare'
  | 'doubtful' | 'doubtful-now' | 'red' | 'black' | 'part' | 'cursor' | 'brush' | 'narrow'; // prettier-ignore
export type LineRole = 'cut' | 'join' | 'link' | 'wire' | 'part' | 'scale' | 'gap';
export type PathRole = 'brushed-copper' | 'brushed-bare';

type Draw = (c: CanvasRenderingContext2D, x: number, y: number, u: number, label: string) => void;

const ink = '#241a12';
const paper = '#fdf8ec';
const second = '#0f5a73';

function ring(
  c: CanvasRenderingContext2D,
  x: number,
  y: number,
  r: number,
  width: number,
  colour: string,
): void {
  c.beginPath();
  c.arc(x, y, r, 0, 2 * Math.PI);
  c.lineWidth = width;
  c.strokeStyle = colour;
  c.stroke();
}

/** A ring in one colour with a thin light one around, so that it shows on any photo. */
function seenRing(
  c: CanvasRenderingContext2D,
  x: number,
  y: number,
  r: number,
  u: number,
  colour: string,
): void {
  ring(c, x, y, r, 4.5 * u, paper);
  ring(c, x, y, r, 2 * u, colour);
}

function text(
  c: CanvasRenderingContext2D,
  words: string,
  x: number,
  y: number,
  u: number,
  colour: string,
): void {
  if (!words) return;
  c.font = `600 ${13 * u}px system-ui, "DejaVu Sans", sans-serif`;
  c.textBaseline = 'middle';
  c.lineJoin = 'round';
  c.lineWidth = 4 * u;
  c.strokeStyle = paper;
  c.strokeText(words, x, y);
  c.fillStyle = colour;
  c.fillText(words, x, y);
}

function cross(c: CanvasRenderingContext2D, x: number, y: number, inner: number, outer: number): void {
  c.beginPath();
  for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]] as const) {
    c.moveTo(x + dx * inner, y + dy * inner);
    c.lineTo(x + dx * outer, y + dy * outer);
  } // prettier-ignore
}

function target(colour: string): Draw {
  return (c, x, y, u, label) => {
    seenRing(c, x, y, 8 * u, u, colour);
    cross(c, x, y, 0, 4 * u);
    c.lineWidth = 1.5 * u;
    c.stroke();
    text(c, label, x + 12 * u, y - 9 * u, u, colour);
  };
}

/** A test lead: its tip touches the place, the handle leans away; the letter tells it without the colour. */
function probe(colour: string, lean: 1 | -1, letter: string): Draw {
  return (c, x, y, u) => {
    const [dx, dy] = [lean * 0.5, -0.866];
    const along = (d: number): Pixel => [x + dx * d * u, y + dy * d * u];
    const stroke = (from: number, to: number, width: number, style: string): void => {
      c.beginPath();
      c.moveTo(...along(from));
      c.lineTo(...along(to));
      c.lineWidth = width * u;
      c.lineCap = 'round';
      c.strokeStyle = style;
      c.stroke();
    };
    stroke(0, 54, 15, paper);
    stroke(0, 16, 3, '#777');
    stroke(16, 54, 11, colour);
    ring(c, x, y, 7 * u, 4 * u, paper);
    ring(c, x, y, 7 * u, 2 * u, colour);
    const [tx, ty] = along(44);
    c.font = `700 ${10 * u}px system-ui, sans-serif`;
    c.textAlign = 'center';
    c.textBaseline = 'middle';
    c.fillStyle = '#fff';
    c.fillText(letter, tx, ty);
    c.textAlign = 'start';
  };
}

function diamond(fill: string, size: number): Draw {
  return (c, x, y, u, label) => {
    c.beginPath();
    c.moveTo(x, y - size * u);
    c.lineTo(x + size * u, y);
    c.lineTo(x, y + size * u);
    c.lineTo(x - size * u, y);
    c.closePath();
    c.lineWidth = 2.5 * u;
    c.strokeStyle = ink;
    c.fillStyle = fill;
    c.fill();
    c.stroke();
    text(c, label, x + (size + 4) * u, y, u, ink);
  };
}

function spot(fill: string, edge: string): Draw {
  return (c, x, y, u) => {
    c.beginPath();
    c.arc(x, y, 5 * u, 0, 2 * Math.PI);
    c.fillStyle = fill;
    c.fill();
    c.lineWidth = 2 * u;
    c.strokeStyle = edge;
    c.stroke();
  };
}

const draws: Record<MarkRole, Draw> = {
  pair: target(second),
  'bad-pair': (c, x, y, u, label) => {
    target(ink)(c, x, y, u, label);
    c.save();
    c.setLineDash([3 * u, 3 * u]);
    ring(c, x, y, 14 * u, 2 * u, ink);
    c.restore();
  },
  half: target(ink),
  guess: (c, x, y, u) => {
    ring(c, x, y, 9 * u, 5 * u, paper);
    c.setLineDash([4 * u, 3 * u]);
    ring(c, x, y, 9 * u, 2 * u, ink);
  },
  moving: target(ink),
  joint: (c, x, y, u) => seenRing(c, x, y, 4 * u, u * 0.6, second),
  'lit-joint': (c, x, y, u, label) => {
    seenRing(c, x, y, 7 * u, u, ink);
    text(c, label, x + 10 * u, y - 8 * u, u, ink);
  },
  lead: (c, x, y, u, label) => {
    spot(second, paper)(c, x, y, u, '');
    text(c, label, x + 8 * u, y - 8 * u, u, ink);
  },
  copper: spot('#c98a4b', paper),
  bare: spot('#efe7d2', ink),
  doubtful: diamond('#fdf8ec', 7),
  'doubtful-now': (c, x, y, u, label) => {
    // Open, so that the place itself is seen.
    for (const [width, colour] of [[6, paper], [2.5, ink]] as const) {
      c.beginPath();
      for (const [dx, dy] of [[0, -1], [1, 0], [0, 1], [-1, 0], [0, -1]] as const)
        c.lineTo(x + dx * 26 * u, y + dy * 26 * u);
      c.lineWidth = width * u;
      c.strokeStyle = colour;
      c.stroke();
    } // prettier-ignore
    text(c, label, x + 30 * u, y, u, ink);
  },
  red: probe('#c3141b', 1, 'R'),
  black: probe('#151515', -1, 'B'),
  brush: () => {}, // drawn by its radius
  narrow: (c, x, y, u, label) => {
    for (const side of [-1, 1] as const) {
      c.beginPath();
      c.moveTo(x + side * 5 * u, y);
      c.lineTo(x + side * 14 * u, y - 5 * u);
      c.lineTo(x + side * 14 * u, y + 5 * u);
      c.closePath();
      c.lineWidth = 3 * u;
      c.strokeStyle = paper;
      c.stroke();
      c.fillStyle = ink;
      c.fill();
    }
    text(c, label, x + 18 * u, y, u, ink);
  },
  part: (c, x, y, u, label) => {
    c.textAlign = 'center';
    text(c, label, x, y, u, ink);
  },
  cursor: (c, x, y, u) => {
    for (const [width, colour] of [[4, paper], [1.5, ink]] as const) {
      cross(c, x, y, 4 * u, 22 * u);
      c.lineWidth = width * u;
      c.strokeStyle = colour;
      c.stroke();
    } // prettier-ignore
  },
};

/**
 * Draws a mark at canvas pixel (x, y); u is the number of canvas pixels in one
 * of the page, k that in one of the photo.
 */
export function drawMark(
  c: CanvasRenderingContext2D,
  mark: Mark,
  x: number,
  y: number,
  u: number,
  k: number,
): void {
  c.save();
  if (mark.role === 'brush') seenRing(c, x, y, Math.max(2 * u, (mark.radius ?? 0) * k), u * 0.6, ink);
  draws[mark.role](c, x, y, u, mark.label ?? '');
  c.restore();
}

const lines: Record<LineRole, { colour: string; width: number; dash: number[] }> = {
  cut: { colour: ink, width: 3, dash: [6, 4] },
  join: { colour: second, width: 5, dash: [] },
  link: { colour: second, width: 2, dash: [2, 4] },
  gap: { colour: ink, width: 2, dash: [] },
  wire: { colour: second, width: 4, dash: [10, 3] },
  part: { colour: ink, width: 2, dash: [] },
  scale: { colour: ink, width: 2, dash: [2, 3] },
};

/** Short strokes across both ends of a line, as on a dimensioned drawing. */
function ticks(c: CanvasRenderingContext2D, from: Pixel, to: Pixel, u: number): void {
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]) || 1;
  const [ax, ay] = [((from[1] - to[1]) / length) * 7 * u, ((to[0] - from[0]) / length) * 7 * u];
  for (const [x, y] of [from, to]) {
    c.moveTo(x - ax, y - ay);
    c.lineTo(x + ax, y + ay);
  }
}

/** Draws a line between two canvas pixels. */
export function drawLine(c: CanvasRenderingContext2D, line: Line, from: Pixel, to: Pixel, u: number): void {
  const look = lines[line.role];
  c.save();
  c.lineCap = 'round';
  c.beginPath();
  c.moveTo(...from);
  c.lineTo(...to);
  if (line.role === 'gap') ticks(c, from, to, u);
  c.lineWidth = (look.width + 3) * u;
  c.strokeStyle = paper;
  c.stroke();
  c.setLineDash(look.dash.map((d) => d * u));
  c.lineWidth = look.width * u;
  c.strokeStyle = look.colour;
  c.stroke();
  c.setLineDash([]);
  if (line.label) text(c, line.label, Math.max(from[0], to[0]) + 10 * u, (from[1] + to[1]) / 2, u, ink);
  c.restore();
}

const strokes: Record<PathRole, { fill: string; dash: number[] }> = {
  'brushed-copper': { fill: 'rgb(201 138 75 / 60%)', dash: [] },
  'brushed-bare': { fill: 'rgb(239 231 210 / 70%)', dash: [4, 4] },
};

/** Draws a brush stroke along canvas pixels: its body, and a thin line along its middle, dashed for bare board. */
export function drawPath(
  c: CanvasRenderingContext2D,
  role: PathRole,
  path: readonly Pixel[],
  width: number,
  u: number,
): void {
  const [first, ...rest] = path;
  if (!first) return;
  c.save();
  [c.lineCap, c.lineJoin] = ['round', 'round'];
  c.beginPath();
  c.moveTo(...first);
  if (rest.length === 0) c.lineTo(first[0] + 0.01, first[1]);
  for (const p of rest) c.lineTo(...p);
  c.lineWidth = Math.max(width, 3 * u);
  c.strokeStyle = strokes[role].fill;
  c.stroke();
  c.lineWidth = 1.5 * u;
  c.setLineDash(strokes[role].dash.map((d) => d * u));
  c.strokeStyle = ink;
  c.stroke();
  c.restore();
}
