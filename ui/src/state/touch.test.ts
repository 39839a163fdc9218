import { expect, test } from 'vitest';
import type { Pixel } from '../geometry/alignment';
import { farApart, foilPlaces } from './touch';

const near: Pixel[] = [[0, 0], [10, 0]]; // prettier-ignore
const far: Pixel[] = [[12, 0], [90, 0]]; // prettier-ignore

test.each([
  [
    'the farthest two',
    near,
    far,
    [
      [0, 0],
      [90, 0],
    ],
  ],
  [
    'the only ones',
    [near[1]!],
    [far[0]!],
    [
      [10, 0],
      [12, 0],
    ],
  ],
  ['one net off the board', [], far, [null, [12, 0]]],
  ['both off the board', [], [], [null, null]],
] as const)('test leads go to %s', (_name, a, b, want) => {
  expect(farApart([...a], [...b])).toEqual(want);
});

test('leads without a joint give no place', () => {
  const net = { id: 'x', copper: [], leads: [{ part: 'B1', lead: '+' }, { part: 'R1', lead: '1', foil: [3, 4] as Pixel }] }; // prettier-ignore
  expect(foilPlaces(net)).toEqual([[3, 4]]);
});
