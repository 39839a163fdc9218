import { describe, expect, test } from 'vitest';
import { type LabelMap, mapOf, neighbours, netAt } from './labels';
import { chooseLooks, paint } from './palette';

function drawn(rows: string[], step = 1): LabelMap {
  const net = Uint16Array.from(rows.join('').split('').map((c) => (c === '.' ? 0 : Number(c)))); // prettier-ignore
  return { width: rows[0]?.length ?? 0, height: rows.length, step, net };
}

const board = drawn(['11..22', '11..22', '......', '......', '333333', '333333']);

describe('a label map', () => {
  test('tells the net at a photo pixel', () => {
    const shrunk = { ...board, step: 4 };
    expect([netAt(shrunk, 0, 0), netAt(shrunk, 23, 7), netAt(shrunk, 10, 10), netAt(shrunk, -9, 0)]).toEqual([
      0, 1, -1, -1,
    ]);
  });

  test('is read from its runs, long ones and high numbers too', () => {
    const runs = btoa(String.fromCharCode(2, 0, 0x80, 0x01, 0x2c, 1, 0xac, 0x02)); // 2 × 0, 128 × 44, 1 × 300
    const { net, ...rest } = mapOf({ width: 131, height: 1, step: 2, runs });
    expect([...net]).toEqual([0, 0, ...Array<number>(128).fill(44), 300]);
    expect(rest).toEqual({ width: 131, height: 1, step: 2 });
  });

  test('knows which nets run close together', () => {
    expect(neighbours(board, 3, 3).map((s) => [...s].sort())).toEqual([[1, 2], [0, 2], [0, 1]]); // prettier-ignore
    expect(neighbours(board, 3, 2).map((s) => [...s].sort())).toEqual([[], [], []]);
  });
});

/** A window on the whole map, one pixel for each of its own. */
const all = ({ width, height, step }: LabelMap) => ({ left: 0, top: 0, perPixel: step, width, height });

describe('painting', () => {
  test('shows the part of the photo that is looked at', () => {
    const chosen = chooseLooks([4, 4, 12], neighbours(board, 3, 3));
    const rgba = paint({ ...board, step: 2 }, chosen, { left: 5, top: -2, perPixel: 1, width: 8, height: 3 }, new Set()); // prettier-ignore
    const seen = Array.from({ length: 8 }, (_, x) => (rgba[(2 * 8 + x) * 4 + 3] ? 'n' : '.')).join('');
    expect(seen).toBe('...nnnn.'); // photo pixels 5 to 12 of row 0: net 2 stands on 8 to 11
    expect(rgba.slice(0, 2 * 8 * 4).every((v) => v === 0)).toBe(true); // above the photo
  });

  test('a lit net is painted stronger than all others, bare board not at all', () => {
    const chosen = chooseLooks([4, 4, 12], neighbours(board, 3, 3));
    const rgba = paint(board, chosen, all(board), new Set([1]));
    const alphaAt = (x: number, y: number) => rgba[(y * board.width + x) * 4 + 3] ?? -1;
    expect(alphaAt(5, 0)).toBeGreaterThan(5 * alphaAt(0, 0));
    expect(alphaAt(2, 0)).toBe(0);
  });

  test('an outlined net lets the photo be seen but at its edge', () => {
    const wide = drawn(Array.from({ length: 9 }, () => '..1111111..'));
    const rgba = paint(wide, chooseLooks([63], [new Set()]), all(wide), new Set([0]), true);
    const alphas = [0, 2, 5, 8].map((x) => rgba[(4 * wide.width + x) * 4 + 3]);
    expect(alphas).toEqual([0, 255, 40, 255]);
  });
});
