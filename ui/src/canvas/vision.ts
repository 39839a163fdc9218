/** A colour as bytes of sRGB. */
export type Rgb = readonly [number, number, number];

type Triple = readonly [number, number, number];
type Matrix = readonly [Triple, Triple, Triple];

/**
 * What the three dichromacies make of a colour, on linear sRGB.
 *
 * Source: Machado, Oliveira and Fernandes 2009, "A physiologically-based model
 * for simulation of color vision deficiency", IEEE TVCG 15(6), table 1,
 * severity 1.0; for tritanopia the authors call it an approximation.
 */
const visions: Record<Vision, Matrix> = {
  usual: [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
  protanopia: [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  deuteranopia: [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
  tritanopia: [
    [1.255528, -0.076749, -0.178779],
    [-0.078411, 0.930809, 0.147602],
    [0.004733, 0.691367, 0.3039],
  ],
};

/** A way of seeing colours. */
export type Vision = 'usual' | 'protanopia' | 'deuteranopia' | 'tritanopia';

export const allVisions: readonly Vision[] = ['usual', 'protanopia', 'deuteranopia', 'tritanopia'];

/** Source: IEC 61966-2-1, sRGB. */
function linear(byte: number): number {
  const v = byte / 255;
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
}

const dot = (row: Triple, c: Triple): number => row[0] * c[0] + row[1] * c[1] + row[2] * c[2];

/** A colour in CIE L*a*b* (D65) as someone with that vision sees it. */
export function seen(colour: Rgb, vision: Vision): Triple {
  const source: Triple = [linear(colour[0]), linear(colour[1]), linear(colour[2])];
  const m = visions[vision];
  const part = (row: Triple): number => Math.min(1, Math.max(0, dot(row, source)));
  const c: Triple = [part(m[0]), part(m[1]), part(m[2])];
  const f = (t: number): number => (t > 216 / 24389 ? Math.cbrt(t) : ((24389 / 27) * t + 16) / 116);
  const x = f(dot([0.4124564, 0.3575761, 0.1804375], c) / 0.95047);
  const y = f(dot([0.2126729, 0.7151522, 0.072175], c));
  const z = f(dot([0.0193339, 0.119192, 0.9503041], c) / 1.08883);
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
}

/** How far apart two colours are for a vision: the distance in CIE L*a*b* 1976, where 2.3 is just to be seen. */
export function apart(a: Rgb, b: Rgb, vision: Vision): number {
  const [p, q] = [seen(a, vision), seen(b, vision)];
  return Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
}

/** How far apart two colours are for whoever tells them apart worst. */
export function leastApart(a: Rgb, b: Rgb): number {
  return Math.min(...allVisions.map((v) => apart(a, b, v)));
}
