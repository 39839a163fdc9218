import { describe, expect, test } from 'vitest';
import type { Brushed, Command } from '../api/types';
import type { Pixel } from '../geometry/alignment';
import { BrushTool, EraserTool, straightened } from './brush';
import { FakeList, Hand } from './driver';

describe('the brush', () => {
  function bench(copper = true) {
    const doc = new FakeList<Brushed>('brushed');
    const tool = new BrushTool(copper, () => 20, doc.emit);
    return { doc, tool, hand: new Hand(tool) };
  }

  test('a straight drag is a stroke of two points; undo and redo', () => {
    const { doc, hand, tool } = bench();
    hand.drag('foil', [100, 100], [300, 100]);
    const drawn = [{ copper: true, width: 20, path: [[100, 100], [300, 100]] }]; // prettier-ignore
    expect(doc.items).toEqual(drawn);
    expect(tool.preview.paths).toEqual([]);
    doc.undo();
    expect(doc.items).toEqual([]);
    doc.redo();
    expect(doc.items).toEqual(drawn);
  });

  test('a corner is kept', () => {
    const { doc, hand } = bench(false);
    hand.down('foil', 100, 100);
    for (const [x, y] of [[150, 100], [200, 100], [200, 150], [200, 200]] as const) hand.move('foil', x, y);
    hand.up('foil', 200, 200);
    expect(doc.items).toEqual([{ copper: false, width: 20, path: [[100, 100], [200, 100], [200, 200]] }]);
  }); // prettier-ignore

  test('a click is a dab', () => {
    const { doc, hand } = bench();
    hand.click('foil', 40, 50);
    expect(doc.items).toEqual([{ copper: true, width: 20, path: [[40, 50]] }]);
  });

  test('shows the stroke while it is drawn, and the size of the brush', () => {
    const { tool, hand } = bench();
    hand.move('foil', 10, 10);
    expect(tool.preview.points).toEqual([{ face: 'foil', at: [10, 10], role: 'brush', radius: 10 }]);
    hand.down('foil', 10, 10);
    hand.move('foil', 30, 10);
    expect(tool.preview.paths[0]?.path).toEqual([[10, 10], [30, 10]]); // prettier-ignore
  });

  test('escape, or a second finger, gives the stroke up', () => {
    const { doc, tool, hand } = bench();
    hand.down('foil', 10, 10);
    hand.move('foil', 90, 10);
    expect([tool.cancel(), tool.cancel()]).toEqual([true, false]);
    hand.up('foil', 90, 10);
    expect(doc.items).toEqual([]);
  });

  test('does nothing on the component side', () => {
    const { doc, hand } = bench();
    hand.drag('component', [10, 10], [90, 10]);
    expect(doc.items).toEqual([]);
  });
});

describe('straightening', () => {
  test('keeps every point within the tolerance', () => {
    const wavy: Pixel[] = Array.from({ length: 60 }, (_, i) => [i * 4, 30 * Math.sin(i / 6)]);
    const kept = straightened(wavy, 1.5);
    expect(kept.length).toBeLessThan(30);
    expect([kept[0], kept.at(-1)]).toEqual([wavy[0], wavy.at(-1)]);
    for (const p of wavy) {
      const off = kept.slice(1).map((b, i) => segment(p, kept[i]!, b));
      expect(Math.min(...off)).toBeLessThanOrEqual(1.5);
    }
  });

  // A slow twin: the nearest of many places along the line.
  function segment(p: Pixel, a: Pixel, b: Pixel): number {
    const along = Array.from({ length: 400 }, (_, i) => i / 399);
    return Math.min(...along.map((t) => Math.hypot(p[0] - a[0] - t * (b[0] - a[0]), p[1] - a[1] - t * (b[1] - a[1])))); // prettier-ignore
  }
});

describe('the eraser', () => {
  const marked = {
    brushed: [
      { copper: true, width: 20, path: [[100, 100], [300, 100]] as Pixel[] },
      { copper: false, width: 20, path: [[200, 50], [200, 150]] as Pixel[] },
    ],
    samples: [{ at: [500, 500] as Pixel }],
    cuts: [{ from: [600, 600] as Pixel, to: [640, 600] as Pixel }],
    joins: [{ from: [700, 600] as Pixel, to: [740, 640] as Pixel }],
  }; // prettier-ignore

  test.each<[string, Pixel, Command | null]>([
    ['a stroke', [120, 104], { do: 'brush', index: 0, remove: true }],
    ['of two strokes the upper one', [200, 100], { do: 'brush', index: 1, remove: true }],
    ['a sample', [503, 500], { do: 'sample', index: 0, remove: true }],
    ['a cut', [620, 605], { do: 'cut', index: 0, remove: true }],
    ['a join', [720, 618], { do: 'join', index: 0, remove: true }],
    ['nothing where nothing is', [900, 900], null],
  ])('takes away %s', (_name, at, want) => {
    const got: Command[] = [];
    new Hand(new EraserTool(() => marked, (c) => got.push(c))).click('foil', ...at); // prettier-ignore
    expect(got).toEqual(want ? [want] : []);
  });
});
