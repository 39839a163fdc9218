import { describe, expect, test } from 'vitest';
import { chooseLooks, colours, type Look, looks, lookWords } from './palette';
import { allVisions, apart } from './vision';

describe('the colours of nets', () => {
  // Ten times what is just to be seen side by side, and more, for they are seen through.
  test.each(allVisions)('stay far apart with %s', (vision) => {
    for (const [i, a] of colours.entries())
      for (const b of colours.slice(i + 1))
        expect(apart(a.rgb, b.rgb, vision), `${a.name} and ${b.name}`).toBeGreaterThan(43);
  });

  test('leave black and red to the test leads', () => {
    for (const lead of [[21, 21, 21], [195, 20, 27]] as const)
      for (const c of colours) expect(apart(c.rgb, lead, 'usual'), c.name).toBeGreaterThan(30);
  }); // prettier-ignore
});

/** Nets in rows and columns, each beside the next of its row and of its column. */
function grid(rows: number, columns: number): Set<number>[] {
  return Array.from({ length: rows * columns }, (_, i) => {
    const [r, c] = [Math.floor(i / columns), i % columns];
    const beside = [[r, c - 1], [r, c + 1], [r - 1, c], [r + 1, c]] as const; // prettier-ignore
    return new Set(beside.filter(([y, x]) => y >= 0 && x >= 0 && y < rows && x < columns).map(([y, x]) => y * columns + x)); // prettier-ignore
  });
}

/** Every net beside every other. */
const all = (n: number): Set<number>[] =>
  Array.from({ length: n }, (_, i) => new Set([...Array(n).keys()].filter((j) => j !== i)));

const same = (a: Look | undefined, b: Look | undefined): boolean => lookWords(a!) === lookWords(b!);

describe('looks', () => {
  test.each([
    ['a board of rows', grid(6, 7)],
    ['six nets that all meet', all(6)],
    ['one net around many', [new Set([1, 2, 3, 4, 5, 6, 7, 8]), ...Array.from({ length: 8 }, () => new Set([0]))]],
  ])('%s: no two neighbours share a colour', (_name, near) => {
    const chosen = chooseLooks(near.map((_, i) => 100 - i), near);
    for (const [i, set] of near.entries())
      for (const j of set) expect(chosen[i]?.colour, `${i} beside ${j}`).not.toBe(chosen[j]?.colour);
  }); // prettier-ignore

  test('where colours run out, a texture tells neighbours apart', () => {
    const near = all(looks);
    const chosen = chooseLooks(near.map(() => 1), near); // prettier-ignore
    for (const i of chosen.keys()) for (let j = 0; j < i; j++) expect(same(chosen[i], chosen[j])).toBe(false);
  });

  test('nets that meet nobody share the looks out evenly', () => {
    const chosen = chooseLooks(new Array(looks).fill(1), []);
    expect(new Set(chosen.map(lookWords)).size).toBe(looks);
  });
});
