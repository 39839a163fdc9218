import { describe, expect, test } from 'vitest';
import type { Pair, Place, Sample, Stroke } from '../api/types';
import { FakeList, Hand } from './driver';
import { SampleTool, ScaleTool, StrokeTool } from './marks';
import { PairTool } from './pairs';
import { jointPlaces, LeadTool, placeOf } from './places';
import { nearest } from './tool';

describe('pairs', () => {
  function bench() {
    const doc = new FakeList<Pair>('pair');
    const tool = new PairTool(() => doc.items, doc.emit);
    return { doc, tool, hand: new Hand(tool) };
  }

  test('a click on each photo makes a pair, in either order', () => {
    const { doc, hand } = bench();
    hand.click('component', 311.04, 402);
    hand.click('foil', 1711, 398);
    hand.click('foil', 20, 30);
    hand.click('component', 90, 40);
    expect(doc.items).toEqual([
      { component: [311, 402], foil: [1711, 398] },
      { component: [90, 40], foil: [20, 30] },
    ]);
  });

  test('a second click on the same photo corrects the first', () => {
    const { doc, hand } = bench();
    hand.click('component', 100, 100);
    hand.click('component', 300, 300);
    hand.click('foil', 10, 10);
    expect(doc.items).toEqual([{ component: [300, 300], foil: [10, 10] }]);
  });

  test('escape gives up half a pair', () => {
    const { doc, tool, hand } = bench();
    hand.click('component', 100, 100);
    expect(tool.cancel()).toBe(true);
    expect(tool.cancel()).toBe(false);
    hand.click('foil', 10, 10);
    hand.click('component', 50, 50);
    expect(doc.items).toEqual([{ component: [50, 50], foil: [10, 10] }]);
  });

  test('dragging a mark moves it, undo moves it back, redo again', () => {
    const { doc, tool, hand } = bench();
    doc.items = [{ component: [100, 100], foil: [900, 100] }];
    hand.down('foil', 903, 102);
    hand.move('foil', 950, 120);
    expect(tool.preview.points).toEqual([{ face: 'foil', at: [950, 120], role: 'moving' }]);
    hand.up('foil', 950, 120);
    const moved = [{ component: [100, 100], foil: [950, 120] }];
    expect(doc.items).toEqual(moved);
    doc.undo();
    expect(doc.items).toEqual([{ component: [100, 100], foil: [900, 100] }]);
    doc.redo();
    expect(doc.items).toEqual(moved);
  });

  test('a click beside every mark is left to the map to drag', () => {
    const { hand } = bench();
    expect(hand.down('foil', 500, 500)).toBe(false);
  });

  test('a click on a mark takes the pair into the loupe and changes nothing', () => {
    const { doc, hand, tool } = bench();
    doc.items = [{ component: [100, 100], foil: [900, 100] }];
    hand.click('foil', 902, 101);
    expect(doc.items).toEqual([{ component: [100, 100], foil: [900, 100] }]);
    expect(tool.inHand).toEqual({ index: 0, component: [100, 100], foil: [900, 100], ready: false });
  });

  test('a pair in the loupe is moved by pixels and tenths, kept once, and undone at once', () => {
    const { doc, tool } = bench();
    doc.items = [{ component: [100, 100], foil: [900, 100] }];
    tool.hold(0);
    for (let i = 0; i < 3; i++) tool.nudge('foil', 1, 0);
    tool.nudge('component', 0, -0.1);
    expect(doc.items).toEqual([{ component: [100, 100], foil: [900, 100] }]);
    tool.keep();
    expect(doc.items).toEqual([{ component: [100, 99.9], foil: [903, 100] }]);
    doc.undo();
    expect(doc.items).toEqual([{ component: [100, 100], foil: [900, 100] }]);
  });

  test('nothing moved, nothing kept', () => {
    const { doc, tool } = bench();
    doc.items = [{ component: [100, 100], foil: [900, 100] }];
    tool.hold(0);
    tool.nudge('foil', 0.1, 0);
    tool.nudge('foil', -0.1, 0);
    tool.keep();
    doc.undo();
    expect(doc.items).toEqual([{ component: [100, 100], foil: [900, 100] }]);
    expect(tool.cancel()).toBe(true);
  });

  test('with one face over the other, the second place is guessed, and kept without a click', () => {
    const doc = new FakeList<Pair>('pair');
    const mirrored = { toFoil: (p: [number, number]): [number, number] => [1000 - p[0], p[1]], toComponent: (p: [number, number]): [number, number] => [1000 - p[0], p[1]] }; // prettier-ignore
    const tool = new PairTool(() => doc.items, doc.emit, () => mirrored); // prettier-ignore
    new Hand(tool).click('foil', 700, 50);
    expect(tool.preview.points).toContainEqual({ face: 'component', at: [300, 50], role: 'guess' });
    tool.nudge('component', 0.5, 0);
    tool.keep();
    expect(doc.items).toEqual([{ component: [300.5, 50], foil: [700, 50] }]);
  });

  test('without an overlay half a pair is not kept', () => {
    const { doc, hand, tool } = bench();
    hand.click('foil', 700, 50);
    tool.keep();
    expect(doc.items).toEqual([]);
    expect(tool.cancel()).toBe(true);
  });
});

describe('samples', () => {
  test('are kept with what they were called', () => {
    const doc = new FakeList<Sample>('sample');
    new Hand(new SampleTool(true, doc.emit)).click('foil', 400, 512);
    new Hand(new SampleTool(false, doc.emit)).click('foil', 80, 90);
    expect(doc.items).toEqual([
      { at: [400, 512], copper: true },
      { at: [80, 90], copper: false },
    ]);
  });

  test('count on the foil side only', () => {
    const doc = new FakeList<Sample>('sample');
    new Hand(new SampleTool(true, doc.emit)).click('component', 400, 512);
    expect(doc.items).toEqual([]);
  });
});

describe('strokes', () => {
  test('a drag draws one; undo and redo', () => {
    const doc = new FakeList<Stroke>('stroke');
    const tool = new StrokeTool('cut', doc.emit);
    new Hand(tool).drag('foil', [610, 700], [640, 705]);
    const drawn = [{ from: [610, 700], to: [640, 705] }];
    expect(doc.items).toEqual(drawn);
    expect(tool.preview.lines).toEqual([]);
    doc.undo();
    expect(doc.items).toEqual([]);
    doc.redo();
    expect(doc.items).toEqual(drawn);
  });

  test('two clicks draw one, with the line following between them', () => {
    const doc = new FakeList<Stroke>('stroke');
    const tool = new StrokeTool('join', doc.emit);
    const hand = new Hand(tool);
    hand.click('foil', 100, 100);
    hand.move('foil', 150, 160);
    expect(tool.preview.lines).toEqual([{ face: 'foil', from: [100, 100], to: [150, 160], role: 'join' }]);
    hand.click('foil', 200, 200);
    expect(doc.items).toEqual([{ from: [100, 100], to: [200, 200] }]);
  });

  test('escape gives up the first click', () => {
    const doc = new FakeList<Stroke>('stroke');
    const tool = new StrokeTool('join', doc.emit);
    const hand = new Hand(tool);
    hand.click('foil', 100, 100);
    expect(tool.cancel()).toBe(true);
    hand.click('foil', 200, 200);
    expect(doc.items).toEqual([]);
  });

  test('two clicks at one place draw nothing', () => {
    const doc = new FakeList<Stroke>('stroke');
    const hand = new Hand(new StrokeTool('cut', doc.emit));
    hand.click('foil', 100, 100);
    hand.click('foil', 101, 100);
    expect(doc.items).toEqual([]);
  });
});

describe('scale', () => {
  test('wants both ends on one photo', () => {
    const got: unknown[] = [];
    const hand = new Hand(new ScaleTool((...args) => got.push(args)));
    hand.click('foil', 10, 10);
    hand.click('component', 20, 20);
    hand.click('component', 120, 20);
    expect(got).toEqual([['component', [20, 20], [120, 20]]]);
  });
});

describe('leads', () => {
  const mirrored = {
    toFoil: (p: [number, number]): [number, number] => [1000 - p[0], p[1]],
    toComponent: (p: [number, number]): [number, number] => [1000 - p[0], p[1]],
  };
  const joints = jointPlaces([{ x: 100, y: 50 }, { x: 300, y: 50 }], mirrored); // prettier-ignore

  test.each([
    ['snaps to a joint on the foil side', 'foil', [104, 53], { joint: [100, 50] }],
    ['snaps to the joint seen through the board', 'component', [696, 47], { at: [700, 50] }],
    ['keeps a place with no joint near', 'component', [500, 500], { at: [500, 500] }],
  ] as const)('%s', (_name, face, at, want) => {
    expect(placeOf({ face, at: [...at], reach: 10 }, joints)).toEqual(want);
  });

  test('are asked for one after the other', () => {
    const leads = ['c', 'b', 'e'];
    const got: [string, Place][] = [];
    const tool = new LeadTool(
      () => leads[got.length] ?? null,
      () => joints,
      (lead, place) => got.push([lead, place]),
    );
    const hand = new Hand(tool);
    hand.click('foil', 100, 50);
    expect(tool.preview.hint).toContain('lead b');
    hand.click('foil', 300, 50);
    hand.click('component', 10, 10);
    hand.click('component', 20, 20); // one too many
    expect(got).toEqual([
      ['c', { joint: [100, 50] }],
      ['b', { joint: [300, 50] }],
      ['e', { at: [10, 10] }],
    ]);
  });
});

test('nearest takes the nearest within reach, none beyond', () => {
  const places: [number, number][] = [[0, 0], [6, 0], [100, 0]]; // prettier-ignore
  expect([nearest(places, [4, 0], 10), nearest(places, [50, 0], 10)]).toEqual([1, -1]);
});
