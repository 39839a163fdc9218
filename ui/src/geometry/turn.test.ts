import { expect, test } from 'vitest';
import type { Pixel } from './alignment';
import { turnAt, unturn, unturned } from './turn';

const map = (f: (p: Pixel) => Pixel) => ({ toFoil: f, toComponent: f });

test.each<[string, (p: Pixel) => Pixel, Pixel]>([
  ['a foil seen from the back: right on the picture is left on the photo', ([x, y]) => [1000 - x, y], [-1, 0]],
  ['a photo turned by a quarter', ([x, y]) => [-y, x], [0, -1]],
  ['a photo of another size: a step stays a step', ([x, y]) => [2 * x, 2 * y], [1, 0]],
])('%s', (_name, toComponent, want) => {
  const step = unturn(turnAt(map(toComponent), [300, 200]), [1, 0]);
  want.forEach((v, i) => expect(step[i]).toBeCloseTo(v, 9));
}); // prettier-ignore

test('without an overlay nothing is turned', () => {
  expect(turnAt(null, [3, 4])).toBe(unturned);
});
