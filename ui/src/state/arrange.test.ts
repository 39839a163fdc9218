import { beforeEach, describe, expect, test, vi } from 'vitest';

const sent: unknown[] = [];
vi.mock('./bench.svelte', () => ({
  bench: {
    do: (c: unknown) => {
      sent.push(c);
      return Promise.resolve(true);
    },
  },
}));
vi.mock('./view.svelte', () => ({ view: { standard: 'iec' } }));

const { arrange, stepsOf } = await import('./arrange.svelte');

describe('a hand on the drawing', () => {
  beforeEach(() => {
    arrange.drop();
    sent.length = 0;
  });

  test('takes one part, or one more', () => {
    arrange.take('R1', false);
    arrange.take('R2', true);
    expect(arrange.held).toEqual(['R1', 'R2']);
    arrange.take('R1', true);
    expect(arrange.held).toEqual(['R2']);
    arrange.take('Q1', false);
    expect(arrange.held).toEqual(['Q1']);
  });

  test('puts down what it carried, as one move', async () => {
    arrange.take('R1', false);
    arrange.carry(3, -2);
    await arrange.put();
    expect(sent).toEqual([
      { do: 'hand', hand: { move: 'move', parts: ['R1'], right: 3, down: -2, standard: 'iec' } },
    ]);
    expect(arrange.carried).toEqual([0, 0]);
  });

  test('sends nothing for what was not carried', async () => {
    arrange.carry(3, 3);
    await arrange.put();
    arrange.take('R1', false);
    await arrange.put();
    expect(sent).toEqual([]);
  });

  test('letting go takes the carrying back', () => {
    arrange.take('R1', false);
    arrange.carry(3, 3);
    arrange.drop();
    expect([arrange.held, arrange.carried]).toEqual([[], [0, 0]]);
  });
});

test.each([
  ['ArrowLeft', false, [-1, 0]],
  ['ArrowDown', true, [0, 5]],
  ['a', false, null],
] as const)('the key %s carries', (key, far, want) => {
  expect(stepsOf(key, far)).toEqual(want);
});
