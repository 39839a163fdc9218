import { describe, expect, test } from 'vitest';
import { type LabelMap, neighbours, netAt, numbersOf } from './labels';
import { chooseLooks, paint } from './palette';

function mapOf(rows: string[], step = 1): LabelMap {
  const net = Uint16Array.from(rows.join('').split('').map((c) => (c === '.' ? 0 : Number(c)))); // prettier-ignore
  return { width: rows[0]?.length ?? 0, height: rows.length, step, net };
}

const board = mapOf(['11..22', '11..22', '......', '......', '333333', '333333']);

describe('a label map', () => {
  test('tells the net at a photo pixel', () => {
    const shrunk = { ...board, step: 4 };
    expect([netAt(shrunk, 0, 0), netAt(shrunk, 23, 7), netAt(shrunk, 10, 10), netAt(shrunk, -9, 0)]).toEqual([
      0, 1, -1, -1,
    ]);
  });

  test('reads numbers from the three colours', () => {
    expect([...numbersOf(Uint8ClampedArray.from([0, 1, 2, 255, 0, 0, 9, 255]))]).toEqual([258, 9]);
  });

  test('knows which nets run close together', () => {
    expect(neighbours(board, 3, 3).map((s) => [...s].sort())).toEqual([[1, 2], [0, 2], [0, 1]]); // prettier-ignore
    expect(neighbours(board, 3, 2).map((s) => [...s].sort())).toEqual([[], [], []]);
  });
});

describe('painting', () => {
  test('a lit net is painted stronger than all others, bare board not at all', () => {
    const chosen = chooseLooks([4, 4, 12], neighbours(board, 3, 3));
    const rgba = paint(board, chosen, new Set([1]));
    const alphaAt = (x: number, y: number) => rgba[(y * board.width + x) * 4 + 3] ?? -1;
    expect(alphaAt(5, 0)).toBeGreaterThan(5 * alphaAt(0, 0));
    expect(alphaAt(2, 0)).toBe(0);
  });

  test('an outlined net lets the photo be seen but at its edge', () => {
    const wide = mapOf(Array.from({ length: 9 }, () => '..1111111..'));
    const rgba = paint(wide, chooseLooks([63], [new Set()]), new Set([0]), true);
    const alphas = [0, 2, 5, 8].map((x) => rgba[(4 * wide.width + x) * 4 + 3]);
    expect(alphas).toEqual([0, 255, 40, 255]);
  });
});
