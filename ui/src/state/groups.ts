import type { Group as Said, Suspect } from '../api/types';

/** Suspects that no reading allowed can tell apart, with what they weigh together. */
export interface Group {
  id: number;
  probability: number;
  members: Suspect[];
  /** What else would tell them apart. */
  apart: string;
}

/** Puts suspects into their groups, the heaviest first. */
export function groupsOf(suspects: readonly Suspect[], said: readonly Said[] = []): Group[] {
  const groups = new Map<number, Group>();
  for (const s of suspects) {
    const g = groups.get(s.group) ?? {
      id: s.group,
      probability: 0,
      members: [],
      apart: said.find((x) => x.group === s.group)?.apart ?? '',
    };
    g.probability += s.probability;
    g.members.push(s);
    groups.set(s.group, g);
  }
  return [...groups.values()].sort((a, b) => b.probability - a.probability || a.id - b.id);
}
