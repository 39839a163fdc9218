import { describe, expect, test } from 'vitest';
import type { Spread } from '../api/types';
import { bandsOf, errorAt, errorPlaces, errorWords, paintErrors } from './errormap';
import { allVisions, seen } from './vision';

/** 3 by 2 values, in millimetres where a pixel has a length. */
const spread: Spread = { columns: 3, rows: 2, off_px: [1, 2, 3, 2, 4, 12], mm_per_px: 0.1 };

describe('the map of errors', () => {
  test.each<[string, number, number, number]>([
    ['the middle of a cell', 1 / 6, 1 / 4, 0.1],
    ['between two cells', 1 / 3, 1 / 4, 0.15],
    ['between four', 1 / 3, 1 / 2, 0.225],
    ['the middle of the last cell', 5 / 6, 3 / 4, 1.2],
    ['the rim, going on as it went', 1, 3 / 4, 1.6],
    ['beyond the rim', 2, 3 / 4, 1.6],
  ])('tells the error at %s', (_name, across, down, want) => {
    expect(errorAt(spread, across, down)).toBeCloseTo(want, 9);
  });

  test('is divided at round levels', () => {
    expect(bandsOf(spread).map((b) => b.upTo)).toEqual([0.2, 0.5, 1, Infinity]);
    expect(bandsOf({ ...spread, mm_per_px: undefined }).map((b) => b.upTo)).toEqual([2, 5, 10, Infinity]);
    expect(bandsOf({ ...spread, off_px: [3, 3, 3, 3, 3, 3] }).map((b) => b.upTo)).toEqual([Infinity]);
    expect(bandsOf({ ...spread, off_px: [1, 10, 100, 1000, 10, 10] }).length).toBe(5);
  });

  test.each(allVisions)('grows darker with the error, with %s', (vision) => {
    const light = bandsOf(spread).map((b) => seen([b.rgba[0], b.rgba[1], b.rgba[2]], vision)[0]);
    for (const [i, l] of light.slice(1).entries()) expect(l).toBeLessThan(light[i]! - 10);
  });

  test('is painted with a line where a band ends', () => {
    const bands = bandsOf(spread);
    const rgba = paintErrors(spread, bands, 90, 60);
    const at = (x: number, y: number) => [...rgba.slice(4 * (y * 90 + x), 4 * (y * 90 + x) + 4)];
    expect(at(0, 0)).toEqual(bands[0]!.rgba);
    expect(at(89, 59)).toEqual(bands[3]!.rgba);
    const row = Array.from({ length: 90 }, (_, x) => at(x, 59)[3] === 255);
    expect(row.filter(Boolean).length).toBe(3); // 0.2 to 1.2 mm: past 0.2, 0.5 and 1
  });

  test('is written at places spread over the photo', () => {
    const places = errorPlaces(spread, 4000, 3000);
    expect(places.length).toBe(12);
    expect(errorWords(places[0]!.value, spread)).toMatch(/^0\.\d\d\u00a0mm$/);
    expect(errorWords(3, { ...spread, mm_per_px: undefined })).toBe('3.0\u00a0px');
  });
});
