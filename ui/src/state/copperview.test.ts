import { describe, expect, test } from 'vitest';
import type { Copper, Doubtful, Job, NetLook } from '../api/types';
import type { Pixel } from '../geometry/alignment';
import {
  around,
  doubtMarks,
  evidenceLines,
  gapLines,
  jointMarks,
  litNames,
  narrowMarks,
  netNames,
} from './copperview';
import { keyOf } from './walk';

const copper: Copper = {
  labels: { width: 0, height: 0, step: 2, runs: '' },
  width: 4000,
  height: 3000,
  nets: [{ id: 'N1', area_px: 1 }, { id: 'N2', area_px: 1 }],
  joints: [{ x: 0, y: 0, net: 'N1' }, { x: 90, y: 0, net: 'N1' }, { x: 200, y: 0, net: 'N1' }, { x: 5, y: 5, net: 'N2' }, { x: 7, y: 9, net: '' }],
  doubtful: [],
}; // prettier-ignore

const doubt = (x: number): Doubtful => ({
  x,
  y: 0,
  nets: ['N1', 'N2'],
  probability_joined: 0.4,
  between: [[x - 9, 0], [x + 9, 0]],
}); // prettier-ignore

describe('what the copper page marks', () => {
  test('the joints of lit nets', () => {
    const roles = jointMarks(copper, new Set(['N2'])).map((m) => m.role);
    expect(roles).toEqual(['joint', 'joint', 'joint', 'lit-joint', 'joint']);
  }); // prettier-ignore

  test('of many doubtful places the first and the one looked at', () => {
    const list = Array.from({ length: 30 }, (_, i) => doubt(100 * i));
    const marks = doubtMarks(list, keyOf(list[20]!), false);
    expect(marks.length).toBe(11);
    expect(marks.at(-1)).toEqual({ at: [2000, 0], role: 'doubtful-now', label: '21' });
  });

  test('the test leads only where it is measured', () => {
    const roles = (measuring: boolean) =>
      doubtMarks([doubt(50)], keyOf(doubt(50)), measuring).map((m) => m.role);
    expect([roles(false), roles(true)]).toEqual([['doubtful-now'], ['doubtful-now', 'black', 'red']]);
  });

  test('a join over a long way as a hint only', () => {
    const joins = [{ from: [0, 0], to: [30, 0] }, { from: [0, 0], to: [900, 0] }]; // prettier-ignore
    const job = { cuts: [], joins } as unknown as Job;
    expect(evidenceLines(job, 4000).map((l) => l.role)).toEqual(['join', 'link']);
  });

  test('a net by its name at its middlemost joint', () => {
    expect(netNames(copper, (n) => `net ${n}`)).toEqual([
      { at: [90, 0], text: 'net N1' },
      { at: [5, 5], text: 'net N2' },
    ]);
  });

  test('while a net is lit: its nearest gap, the leads in its joints, its neighbours', () => {
    const look: NetLook = {
      net: 'N1',
      neighbours: [{ net: 'N2', width_px: 9, width_mm: 0.4, from: [0, 0], to: [4, 8] }],
    };
    const leads = (at: Pixel): string => (at[0] === 90 ? 'R1.2' : '');
    expect(gapLines(look)).toEqual([{ from: [0, 0], to: [4, 8], role: 'gap' }]);
    expect(litNames(copper, new Set(['N1']), look, leads, (n) => `net ${n}`)).toEqual([
      { at: [2, 4], text: '0.40\u00a0mm' },
      { at: [90, 0], text: 'R1.2' },
      { at: [5, 5], text: 'net N2' },
    ]);
  });
  test.each<[string, number, number]>([['a neck', 12, 1], ['no neck where a track is even', 29, 0]])('%s', (_name, least, marks) => {
    const tracks = { usual_px: 30, least_px: least, narrow: [4, 5] as Pixel };
    expect(narrowMarks({ net: 'N1', neighbours: [], tracks }).length).toBe(marks);
  }); // prettier-ignore

  test('with room around, and never too close', () => {
    expect(around([[100, 100], [300, 100]], 50)).toEqual({ at: [200, 100], width: 300 }); // prettier-ignore
    expect(around([[100, 100]], 50)).toEqual({ at: [100, 100], width: 50 });
  });
});
