import type { KindInfo, Part, Place, Winding } from '../api/types';

/** A part as the form holds it while it is being described. */
export interface Draft {
  /** The reference that it replaces; empty for a new part. */
  was: string;
  ref: string;
  kind: string;
  type: string;
  marking: string;
  note: string;
  /** What was said of each parameter; undefined where a choice stands at its default. */
  params: Record<string, string | undefined>;
  windings: Winding[];
  /** Lead names of a part that names its own. */
  ownLeads: string[];
  places: Record<string, Place>;
}

/** The next free reference with a letter: R1, R2 … */
export function nextRef(letter: string, taken: readonly string[]): string {
  const used = new Set(taken);
  for (let i = 1; ; i++) if (!used.has(letter + String(i))) return letter + String(i);
}

/** An empty draft of a kind. */
export function fresh(kind: KindInfo, taken: readonly string[]): Draft {
  return {
    was: '',
    ref: nextRef(kind.letter, taken),
    kind: kind.kind,
    type: '',
    marking: '',
    note: '',
    params: {},
    windings: kind.windings ? [winding('primary'), winding('secondary')] : [],
    ownLeads: kind.leads.length === 0 && !kind.windings ? ['1', '2'] : [],
    places: {},
  };
}

export function winding(name: string): Winding {
  return { name, turns: '', resistance: '', inductance: '' };
}

/** The draft of a part that is there already. */
export function draftOf(part: Part, kind: KindInfo): Draft {
  return {
    was: part.ref,
    ref: part.ref,
    kind: part.kind,
    type: part.type ?? '',
    marking: part.marking ?? '',
    note: part.note ?? '',
    params: Object.fromEntries(part.params.map((p) => [p.name, p.text])),
    windings: (part.windings ?? []).map((w) => ({ ...w })),
    ownLeads: kind.leads.length === 0 && !kind.windings ? part.leads.map((l) => l.name) : [],
    places: Object.fromEntries(part.leads.map((l) => [l.name, l.place])),
  };
}

/** Poles above the first repeat the leads with a letter: 1.b, 2.b. */
function poles(leads: readonly string[], count: number): string[] {
  const out = [...leads];
  for (let pole = 1; pole < Math.min(count, 12); pole++) {
    const letter = String.fromCharCode('a'.charCodeAt(0) + pole);
    out.push(...leads.filter((l) => !l.startsWith('coil')).map((l) => `${l}.${letter}`));
  }
  return out;
}

/** The leads that a draft has, in the order in which they are asked for. */
export function leadsOf(draft: Draft, kind: KindInfo): string[] {
  if (kind.windings) return draft.windings.flatMap((w) => [`${w.name}.1`, `${w.name}.2`]);
  if (kind.leads.length === 0) return draft.ownLeads;
  return poles(kind.leads, Number(draft.params['poles'] ?? 1) || 1);
}

/** The first lead without a place, or null. */
export function asking(draft: Draft, kind: KindInfo): string | null {
  return leadsOf(draft, kind).find((l) => !draft.places[l]) ?? null;
}

/** The part that a draft describes, empty parameters left out. */
export function partOf(draft: Draft, kind: KindInfo): Part {
  const known = new Set(kind.params.map((p) => p.name));
  return {
    ref: draft.ref.trim(),
    kind: draft.kind,
    type: draft.type.trim() || undefined,
    marking: draft.marking.trim() || undefined,
    note: draft.note.trim() || undefined,
    params: Object.entries(draft.params)
      .map(([name, text]) => ({ name, text: (text ?? '').trim() }))
      .filter(({ name, text }) => known.has(name) && text !== ''),
    windings: kind.windings ? draft.windings : undefined,
    leads: leadsOf(draft, kind).flatMap((name) => {
      const place = draft.places[name];
      return place ? [{ name, place }] : [];
    }),
  };
}

/** A place as one line of text, and back. Two numbers are pixels of the component side. */
export function placeText(place: Place | undefined): string {
  if (!place) return '';
  if (place.net) return place.net;
  const p = place.at ?? place.joint;
  return p ? `${place.joint ? 'joint ' : ''}${p[0]}, ${p[1]}` : '';
}

export function placeFrom(text: string): Place | undefined {
  const typed = text.trim();
  const pixel = /^(joint\s+)?(-?\d+(?:\.\d+)?)[\s,;]+(-?\d+(?:\.\d+)?)$/.exec(typed);
  if (pixel) {
    const at: [number, number] = [Number(pixel[2]), Number(pixel[3])];
    return pixel[1] ? { joint: at } : { at };
  }
  return typed ? { net: typed } : undefined;
}
