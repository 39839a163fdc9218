import { describe, expect, test } from 'vitest';
import { moved, reach, ticks, tracePath, valueAt, zoomed } from './waves';

const trace = { net: 'out', low: [0, -1, 2], high: [0, 3, 2] };
const time = [0, 1, 3];

describe('a chart of waveforms', () => {
  test('marks are round and within the stretch', () => {
    const written = (t: number): string => t.toFixed(3);
    expect(ticks([0, 0.01], 5).map(written)).toEqual(['0.000', '0.002', '0.004', '0.006', '0.008', '0.010']);
    expect(ticks([3.1, 9.2], 4)).toEqual([4, 6, 8]);
    expect(ticks([1, 1], 4)).toEqual([]);
  });

  test('its scale holds every peak of the columns in sight', () => {
    const [low, high] = reach(trace, time, [0.5, 0.9]);
    expect(low).toBeLessThan(0);
    expect(high).toBeLessThan(3);
    const [lowest, highest] = reach(trace, time, [0, 3]);
    expect(lowest).toBeLessThan(-1);
    expect(highest).toBeGreaterThan(3);
  });

  test('a column that stands for many points is drawn from its least to its greatest', () => {
    const path = tracePath(
      trace,
      time,
      (t) => 10 * t,
      (v) => -v,
    );
    expect(path).toBe('M0.0 0.0L10.0 1.0L10.0 -3.0L30.0 -2.0');
  });

  test('between columns a cursor reads a straight line, beyond them the last', () => {
    expect(valueAt(trace, time, 2)).toBe(1.5);
    expect(valueAt(trace, time, 9)).toBe(2);
    expect(valueAt({ net: 'a', low: [4], high: [4] }, [0], 1)).toBe(4);
  });

  test('zooming keeps the time under the pointer and stays within the run', () => {
    const [from, to] = zoomed([0, 10], 4, 0.5, 10);
    expect([from, to]).toEqual([2, 7]);
    expect(zoomed([2, 7], 4, 100, 10)).toEqual([0, 10]);
    expect(moved([2, 7], 50, 10)).toEqual([5, 10]);
  });
});
