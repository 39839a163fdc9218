import { describe, expect, test } from 'vitest';
import type { Alignment } from '../api/types';
import { overlayOf, type Pixel } from './alignment';

const tilted: Alignment = {
  found: 'points',
  residual_px: 0.3,
  pairs: [],
  // A mirrored view (negative determinant) with perspective.
  matrix: [-0.98, 0.02, 3900, 0.01, 1.01, -20, 1e-6, -2e-6, 1],
  lens: {
    component: { centre: [2000, 1500], norm: 2500, k1: -0.03 },
    foil: { centre: [2000, 1500], norm: 2500, k1: 0.02 },
  },
};

describe('an overlay', () => {
  const corners: Pixel[] = [[0, 0], [3999, 0], [0, 2999], [3999, 2999], [2000, 1500]]; // prettier-ignore

  test.each(corners.map((c) => [c]))('goes to the foil and back at %s', (corner) => {
    const overlay = overlayOf(tilted);
    const back = overlay.toComponent(overlay.toFoil(corner));
    expect(back[0]).toBeCloseTo(corner[0], 6);
    expect(back[1]).toBeCloseTo(corner[1], 6);
  });

  test('is the plain matrix where there is no lens', () => {
    const flat = { centre: [0, 0] as Pixel, norm: 0, k1: 0 };
    const overlay = overlayOf({ ...tilted, lens: { component: flat, foil: flat } });
    // By hand: w = 1 + 1e-4 − 4e-4, x = (−98 + 4 + 3900)/w, y = (1 + 202 − 20)/w.
    const w = 0.9997;
    expect(overlay.toFoil([100, 200])[0]).toBeCloseTo(3806 / w, 8);
    expect(overlay.toFoil([100, 200])[1]).toBeCloseTo(183 / w, 8);
  });
});
