import type { LabelMap } from './labels';

/**
 * Colours for nets that differ in lightness or in blue against yellow, which
 * stay apart in the three common colour blindnesses; black, red and amber are
 * left out, since they mean the test leads and danger. Textures tell more nets
 * apart than colours do.
 */
const colours: readonly (readonly [number, number, number])[] = [
  [34, 102, 187], // blue
  [120, 214, 250], // pale blue
  [24, 132, 78], // green
  [226, 222, 92], // lemon
  [150, 46, 140], // purple
  [240, 176, 222], // pink
];

const textures = 3;

/** How one net looks: a colour and a texture (0 plain, 1 stripes, 2 chequers). */
export interface Look {
  colour: number;
  texture: number;
}

/** The number of looks that there are. */
export const looks = colours.length * textures;

/** A look for a list, as a CSS background. */
export function css(look: Look): string {
  const rgb = (colours[look.colour] ?? [0, 0, 0]).join(' ');
  const [full, gap] = [`rgb(${rgb})`, `rgb(${rgb} / 35%)`];
  if (look.texture === 1) return `repeating-linear-gradient(135deg, ${full} 0 3px, ${gap} 3px 6px)`;
  if (look.texture === 2) return `repeating-conic-gradient(${full} 0 25%, ${gap} 0 50%) 0 0 / 8px 8px`;
  return full;
}

/**
 * Gives each net a look that none of its neighbours has: the largest nets
 * choose first, each the least used of the looks still free to it, plain
 * colours before textures.
 */
export function chooseLooks(areas: readonly number[], near: readonly Set<number>[]): Look[] {
  const order = areas.map((_, i) => i).sort((a, b) => (areas[b] ?? 0) - (areas[a] ?? 0) || a - b);
  const chosen = new Array<number>(areas.length).fill(-1);
  const used = new Array<number>(looks).fill(0);
  for (const net of order) {
    const taken = new Set<number>();
    for (const other of near[net] ?? []) taken.add((chosen[other] ?? -1) % colours.length);
    let best = 0;
    let least = Infinity;
    for (let look = 0; look < looks; look++) {
      const price =
        (used[look] ?? 0) * 4 +
        Math.floor(look / colours.length) +
        (taken.has(look % colours.length) ? 1000 : 0);
      if (price < least) [best, least] = [look, price];
    }
    chosen[net] = best;
    used[best] = (used[best] ?? 0) + 1;
  }
  return chosen.map((look) => ({
    colour: look % colours.length,
    texture: Math.floor(look / colours.length),
  }));
}

function textured(texture: number, x: number, y: number): boolean {
  if (texture === 1) return (x + y) % 12 < 6;
  if (texture === 2) return x % 10 < 5 === y % 10 < 5;
  return true;
}

const alpha = { plain: 150, gap: 70, lit: 225, dimmed: 38 };

/** Paints the nets over the photo; with lit nets, those stand out and the others step back. */
export function paint(
  map: LabelMap,
  of: readonly Look[],
  lit: ReadonlySet<number>,
): Uint8ClampedArray<ArrayBuffer> {
  const out = new Uint8ClampedArray(map.net.length * 4);
  for (let j = 0, i = 0; j < map.height; j++) {
    for (let x = 0; x < map.width; x++, i++) {
      const net = (map.net[i] ?? 0) - 1;
      const look = of[net];
      if (!look) continue;
      const colour = colours[look.colour];
      if (!colour) continue;
      let a = textured(look.texture, x, j) ? alpha.plain : alpha.gap;
      if (lit.size > 0) a = lit.has(net) ? alpha.lit : alpha.dimmed;
      const k = i * 4;
      [out[k], out[k + 1], out[k + 2], out[k + 3]] = [colour[0], colour[1], colour[2], a];
    }
  }
  return out;
}
