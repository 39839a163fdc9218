import { expect, test } from 'vitest';
import { groupsOf } from './groups';

test('groups weigh together and the heaviest stands first', () => {
  const s = (part: string, probability: number, group: number) => ({
    part,
    fault: 'open',
    text: '',
    probability,
    group,
  });
  const groups = groupsOf([s('R1', 0.4, 1), s('C1', 0.3, 2), s('C2', 0.25, 2)]);
  expect(groups.map((g) => [g.id, g.members.map((m) => m.part)])).toEqual([[2, ['C1', 'C2']], [1, ['R1']]]); // prettier-ignore
  expect(groups[0]?.probability).toBeCloseTo(0.55, 12);
});
