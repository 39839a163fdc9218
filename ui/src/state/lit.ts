import type { Circuit, CircuitNet, Copper, Stages } from '../api/types';

/**
 * The name under which copper is lit: its circuit net where the circuit knows
 * it, else its own, told apart from a circuit net that happens to be called so.
 */
export function netOfCopper(copperNet: string, circuit: Circuit | null): string {
  const known = circuit?.nets.find((n) => n.copper.includes(copperNet));
  if (known) return known.id;
  return netNamed(copperNet, circuit) ? copperNet.replace(/^N/, 'piece ') : copperNet;
}

/** The label indices of the copper that a lit net is made of. */
export function copperOfNet(lit: string | null, copper: Copper | null, circuit: Circuit | null): Set<number> {
  if (lit === null || !copper) return new Set();
  const names = circuit?.nets.find((n) => n.id === lit)?.copper ?? [lit.replace(/^piece /, 'N')];
  return new Set(copper.nets.flatMap((n, i) => (names.includes(n.id) ? [i] : [])));
}

/** The circuit net of the name. */
export function netNamed(name: string | null, circuit: Circuit | null): CircuitNet | null {
  return circuit?.nets.find((n) => n.id === name) ?? null;
}

/** The parts of the stage that is lit. */
export function partsOfStage(lit: string | null, stages: Stages | null): readonly string[] {
  return stages?.stages.find((s) => s.name === lit)?.parts ?? [];
}

/** Where the leads of some parts stand on the foil photo, each part named once. */
export function jointsOf(
  parts: readonly string[],
  circuit: Circuit | null,
): { at: [number, number]; role: 'lit-joint'; label: string }[] {
  const leads = (circuit?.nets ?? []).flatMap((n) => n.leads.filter((l) => parts.includes(l.part)));
  const named = new Set<string>(); // each part once
  return leads.flatMap((l) => {
    if (!l.foil) return [];
    const label = named.has(l.part) ? '' : l.part;
    named.add(l.part);
    return [{ at: [l.foil[0], l.foil[1]], role: 'lit-joint' as const, label }];
  });
}

/** The leads that stand at a place of the foil photo, as R1.2; empty where the circuit knows none. */
export function leadAt(at: readonly [number, number], circuit: Circuit | null): string {
  const here = (l: CircuitNet['leads'][number]): boolean =>
    l.foil !== undefined && Math.hypot(l.foil[0] - at[0], l.foil[1] - at[1]) < 1;
  const leads = (circuit?.nets ?? []).flatMap((n) => n.leads.filter(here));
  return leads.map((l) => `${l.part}.${l.lead}`).join(' ');
}

/**
 * The net that a reading's place means: a net by name, or a lead written R1.2
 * or Q1.c (a transformer's leads hold a dot themselves: T1.primary.1).
 */
export function netOfPlace(place: string, circuit: Circuit | null): CircuitNet | null {
  const named = netNamed(place, circuit);
  if (named) return named;
  return circuit?.nets.find((n) => n.leads.some((l) => `${l.part}.${l.lead}` === place)) ?? null;
}
