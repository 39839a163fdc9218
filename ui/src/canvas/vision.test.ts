import { describe, expect, test } from 'vitest';
import { allVisions, apart, leastApart, type Rgb, seen } from './vision';

describe('a way of seeing', () => {
  test.each(allVisions)('%s leaves greys grey and as light as they are', (vision) => {
    for (const v of [0, 90, 128, 255]) {
      const [l, a, b] = seen([v, v, v], vision);
      expect(l).toBeCloseTo(seen([v, v, v], 'usual')[0], 1);
      expect(Math.hypot(a, b)).toBeLessThan(0.5);
    }
  });

  // The primaries of sRGB in L*a*b* with D65, as tables of them have it (from memory).
  test.each<[string, Rgb, number[]]>([
    ['red', [255, 0, 0], [53.24, 80.09, 67.2]],
    ['green', [0, 255, 0], [87.73, -86.18, 83.18]],
    ['blue', [0, 0, 255], [32.3, 79.19, -107.86]],
  ])('%s stands where it should in L*a*b*', (_name, rgb, lab) => {
    seen(rgb, 'usual').forEach((v, i) => expect(v).toBeCloseTo(lab[i] ?? NaN, 1));
  });

  test.each<[Parameters<typeof apart>[2], Rgb, Rgb]>([
    ['protanopia', [150, 60, 40], [75, 80, 38]],
    ['deuteranopia', [180, 90, 70], [110, 120, 68]],
    ['tritanopia', [60, 150, 90], [60, 140, 160]],
  ])('%s confuses what others tell apart', (vision, a, b) => {
    expect(apart(a, b, vision)).toBeLessThan(apart(a, b, 'usual') / 3);
    expect(leastApart(a, b)).toBe(Math.min(...allVisions.map((v) => apart(a, b, v))));
  });
});
