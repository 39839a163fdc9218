import type { LabelMap } from './labels';
import { leastApart, type Rgb } from './vision';

/**
 * Colours for nets, found by a search of our own: of all sets of six that leave
 * out black, red, amber (test leads and danger) and the browns of copper, the
 * one whose two nearest colours are farthest apart for the worst of four
 * visions. The test beside this file holds the distance.
 */
export const colours: readonly { name: string; rgb: Rgb }[] = [
  { name: 'blue', rgb: [0, 100, 250] },
  { name: 'lime', rgb: [200, 220, 0] },
  { name: 'plum', rgb: [120, 0, 100] },
  { name: 'mint', rgb: [20, 250, 160] },
  { name: 'pink', rgb: [250, 140, 220] },
  { name: 'olive', rgb: [80, 80, 0] },
];

const textures = ['plain', 'striped', 'chequered'] as const;

/** How one net looks: the numbers of its colour and of its texture. */
export interface Look {
  colour: number;
  texture: number;
}

/** The number of looks that there are. */
export const looks = colours.length * textures.length;

/** A look in words. */
export function lookWords(look: Look): string {
  return `${colours[look.colour]?.name ?? ''}, ${textures[look.texture] ?? ''}`;
}

/** A look for a list, as a CSS background. */
export function css(look: Look): string {
  const rgb = (colours[look.colour]?.rgb ?? [0, 0, 0]).join(' ');
  const [full, gap] = [`rgb(${rgb})`, `rgb(${rgb} / 30%)`];
  if (look.texture === 1) return `repeating-linear-gradient(135deg, ${full} 0 3px, ${gap} 3px 6px)`;
  if (look.texture === 2) return `repeating-conic-gradient(${full} 0 25%, ${gap} 0 50%) 0 0 / 8px 8px`;
  return full;
}

/** How far apart two looks are for the worst vision; a texture alone counts little. */
const between = colours.map((a) => colours.map((b) => leastApart(a.rgb, b.rgb)));
const textureApart = 12;

function lookApart(a: Look, b: Look): number {
  return (between[a.colour]?.[b.colour] ?? 0) + (a.texture === b.texture ? 0 : textureApart);
}

const everyLook: readonly Look[] = textures.flatMap((_, texture) =>
  colours.map((_c, colour) => ({ colour, texture })),
);

/** Beyond this distance two looks count as equally far apart, and the one used less is taken. */
const farEnough = 55;

/**
 * Gives nets their looks so that those which run side by side are far apart:
 * the net whose neighbours have the most looks already chooses first, of two
 * such the larger, and takes what is farthest from them all; of equals the
 * least used.
 *
 * Source: Brélaz 1979 (the order by saturation).
 */
export function chooseLooks(areas: readonly number[], near: readonly ReadonlySet<number>[]): Look[] {
  const chosen = new Map<number, Look>();
  const used = new Map<Look, number>();
  const around = (net: number): Look[] => {
    const found = [...(near[net] ?? [])].map((n) => chosen.get(n));
    return [...new Set(found.filter((l) => l !== undefined))];
  };
  const waiting = new Set(areas.keys());
  while (waiting.size > 0) {
    let [next, most] = [-1, -1];
    for (const net of waiting) {
      const n = around(net).length;
      if (n > most || (n === most && (areas[net] ?? 0) > (areas[next] ?? 0))) [next, most] = [net, n];
    }
    const look = farthest(around(next), used);
    waiting.delete(next);
    chosen.set(next, look);
    used.set(look, (used.get(look) ?? 0) + 1);
  }
  return areas.map((_, i) => chosen.get(i) ?? { colour: 0, texture: 0 });
}

function farthest(neighbours: readonly Look[], used: ReadonlyMap<Look, number>): Look {
  let [best, worth] = [everyLook[0]!, -Infinity];
  for (const look of everyLook) {
    const distance = Math.min(farEnough, ...neighbours.map((n) => lookApart(look, n)));
    const price = 4 * (used.get(look) ?? 0) + look.texture;
    if (distance - price / 100 > worth) [best, worth] = [look, distance - price / 100];
  }
  return best;
}

function textured(texture: number, x: number, y: number): boolean {
  if (texture === 1) return (x + y) % 12 < 6;
  if (texture === 2) return x % 10 < 5 === y % 10 < 5;
  return true;
}

const alpha = { plain: 165, gap: 70, lit: 235, dimmed: 34, clear: 40, edge: 255 };

/** How a net is painted: its texture, and the ground and the gaps of it as the bytes of a pixel. */
interface Shade {
  texture: number;
  ground: number;
  gap: number;
  /** Along the edge, where the net is only outlined; 0 where it is painted. */
  edge: number;
}

/** A colour as canvases keep a pixel, red in the lowest byte. */
const packed = ([r, g, b]: Rgb, a: number): number => ((a << 24) | (b << 16) | (g << 8) | r) >>> 0;

function shadeOf(look: Look, net: number, lit: ReadonlySet<number>, outlined: boolean): Shade {
  const rgb = colours[look.colour]?.rgb ?? [0, 0, 0];
  const of = (texture: number, ground: number, gap: number, edge = 0): Shade => ({
    texture,
    ground: packed(rgb, ground),
    gap: packed(rgb, gap),
    edge: edge && packed(rgb, edge),
  });
  if (lit.size === 0) return of(look.texture, alpha.plain, alpha.gap);
  if (!lit.has(net)) return of(0, alpha.dimmed, 0);
  if (outlined) return of(0, alpha.clear, 0, alpha.edge);
  return of(look.texture, alpha.lit, alpha.plain);
}

/** How wide an outline is, in pixels of the page. */
const outline = 2;

/** The part of a photo that a canvas shows. */
export interface Window {
  /** The photo's pixel edges at the left and the top of the canvas. */
  left: number;
  top: number;
  /** Photo pixels along a side of a canvas pixel. */
  perPixel: number;
  width: number;
  height: number;
}

/** Which column (or row) of a map each pixel along a canvas shows; -1 beside the map. */
function stepsOf(from: number, perPixel: number, count: number, step: number, size: number): Int32Array {
  const out = new Int32Array(count);
  for (let k = 0; k < count; k++) {
    const at = Math.floor((from + (k + 0.5) * perPixel) / step);
    out[k] = at >= 0 && at < size ? at : -1;
  }
  return out;
}

/**
 * Paints the nets over the part of the photo that is seen, pixel by pixel of
 * the page, so that it costs no more on a larger photo; with lit nets, those
 * stand out and the others step back. Lit nets that are outlined let the photo
 * be seen.
 */
export function paint(
  map: LabelMap,
  of: readonly Look[],
  seen: Window,
  lit: ReadonlySet<number>,
  outlined = false,
): Uint8ClampedArray<ArrayBuffer> {
  const { width, height } = seen;
  const out = new Uint32Array(width * height);
  const shades = of.map((look, i) => shadeOf(look, i, lit, outlined));
  const columns = stepsOf(seen.left, seen.perPixel, width, map.step, map.width);
  const rows = stepsOf(seen.top, seen.perPixel, height, map.step, map.height);
  // Textures stay where they are while the photo is moved under the window.
  const [dx, dy] = [Math.round(seen.left / seen.perPixel), Math.round(seen.top / seen.perPixel)];
  const labelAt = (row: number, column: number): number =>
    row < 0 || column < 0 ? 0 : map.net[row * map.width + column]!;
  for (let y = 0; y < height; y++) {
    const row = rows[y]!;
    if (row < 0) continue;
    const [above, below] = [rows[Math.max(y - outline, 0)]!, rows[Math.min(y + outline, height - 1)]!];
    const [first, start] = [row * map.width, y * width];
    for (let x = 0; x < width; x++) {
      const column = columns[x]!;
      const own = column < 0 ? 0 : map.net[first + column]!;
      const shade = own === 0 ? undefined : shades[own - 1];
      if (!shade) continue;
      const full = shade.texture === 0 || textured(shade.texture, x + dx, y + dy);
      out[start + x] = full ? shade.ground : shade.gap;
      if (shade.edge === 0) continue;
      const inside =
        labelAt(row, columns[Math.max(x - outline, 0)]!) === own &&
        labelAt(row, columns[Math.min(x + outline, width - 1)]!) === own &&
        labelAt(above, column) === own &&
        labelAt(below, column) === own;
      if (!inside) out[start + x] = shade.edge;
    }
  }
  return new Uint8ClampedArray(out.buffer);
}
