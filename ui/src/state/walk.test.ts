import { describe, expect, test } from 'vitest';
import type { Doubtful } from '../api/types';
import { afterChange, beside, keyOf, walkOrder } from './walk';

const place = (x: number): Doubtful => ({
  x,
  y: 7,
  nets: ['N1', 'N2'],
  probability_joined: 0.5,
  between: [[0, 0], [1, 1]],
}); // prettier-ignore
const [a, b, c] = [place(10), place(20), place(30)];
const key = (d: Doubtful): string => keyOf(d);

describe('walking the doubtful places', () => {
  test('goes round and round in either direction', () => {
    const list = [a, b, c];
    expect([null, key(a), key(c)].map((at) => beside(list, at, 1))).toEqual([a, b, a].map(key));
    expect([null, key(a), key(c)].map((at) => beside(list, at, -1))).toEqual([c, c, b].map(key));
    expect(beside([], null, 1)).toBeNull();
  });

  test('leaves what was put off for the end', () => {
    expect(walkOrder([a, b, c], new Set([key(a)]))).toEqual([b, c, a]);
  });

  test.each<[string, Doubtful[], Doubtful | null, Doubtful | null]>([
    ['stays where it is while the place is in doubt', [a, b, c], b, b],
    ['goes on to the next once the place is settled', [a, c], b, c],
    ['begins anew after the last', [a, b], c, a],
    ['takes what is left where all that followed is gone', [place(99)], b, place(99)],
    ['ends with the last place', [], b, null],
    ['has not begun', [a], null, null],
  ])('%s', (_name, now, at, want) => {
    expect(afterChange([a, b, c], now, at && key(at))).toBe(want && key(want));
  });
});
