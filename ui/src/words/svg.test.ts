import { describe, expect, test } from 'vitest';
import { type Box, detail } from './svg';

describe('a detail of a drawing', () => {
  const whole: Box = [0, 0, 1000, 400];

  test.each([
    ['is the whole where no net is', [], whole],
    ['is not narrower than its share', [[500, 200]], [275, 110, 450, 180]],
    ['stays within the drawing', [[10, 390]], [0, 220, 450, 180]],
    [
      'grows with what it must hold',
      [
        [100, 50],
        [900, 350],
      ],
      [0, 5, 1000, 390],
    ],
  ] as const)('%s', (_name, points, want) => {
    const got = detail(
      whole,
      points.map((p) => [p[0], p[1]] as const),
    );
    got.forEach((v, i) => expect(v).toBeCloseTo(want[i] ?? NaN, 9));
  });
});
