/** The pages of the manual, in the order of the work. */
export const sections = [
  { id: 'photographs', title: 'Photographs' },
  { id: 'faces', title: 'Faces' },
  { id: 'copper', title: 'Copper' },
  { id: 'parts', title: 'Parts' },
  { id: 'checks', title: 'Checks' },
  { id: 'drawing', title: 'Drawing' },
  { id: 'readings', title: 'Readings' },
  { id: 'waveforms', title: 'Waveforms' },
  { id: 'sheet', title: 'Sheet' },
] as const;

export type SectionId = (typeof sections)[number]['id'];

interface Kept {
  night: boolean;
  opacity: number;
  standard: 'iec' | 'ieee';
  code: boolean;
  points: boolean;
}

const key = 'foilside-view';

function kept(): Kept {
  const night = matchMedia('(prefers-color-scheme: dark)').matches;
  const fresh: Kept = { night, opacity: 0.5, standard: 'iec', code: false, points: false };
  try {
    return { ...fresh, ...(JSON.parse(localStorage.getItem(key) ?? '{}') as Partial<Kept>) };
  } catch {
    return fresh;
  }
}

/** How things are looked at: kept in this browser, not in the job, not undone. */
class View {
  section = $state<SectionId>('photographs');
  night = $state(false);
  opacity = $state(0.5);
  standard = $state<'iec' | 'ieee'>('iec');
  /** Values on the drawing in the letter code. */
  code = $state(false);
  /** Test points with their voltages on the drawing. */
  points = $state(false);
  /** Suspects framed on the drawing. */
  suspects = $state(false);
  /** The net that is lit, by its name in the circuit, on every photo and on the drawing. */
  lit = $state<string | null>(null);
  /** The stage whose parts are lit, by its name, on the drawing and on the foil photo. */
  stage = $state<string | null>(null);
  /** Pieces of copper that are lit beside it, by their ids, while a doubtful place between them is looked at. */
  alight = $state.raw<readonly string[]>([]);

  constructor() {
    const k = kept();
    [this.night, this.opacity, this.standard] = [k.night, k.opacity, k.standard];
    [this.code, this.points] = [k.code, k.points];
  }

  /** Shows the page that the address names, and follows the address. */
  follow(): void {
    const read = (): void => {
      const found = sections.find((s) => `#${s.id}` === location.hash);
      if (found) this.section = found.id;
    };
    read();
    addEventListener('hashchange', read);
  }

  go(id: SectionId): void {
    this.section = id;
    location.hash = id;
  }

  keep(): void {
    const { night, opacity, standard, code, points } = this;
    const k: Kept = { night, opacity, standard, code, points };
    localStorage.setItem(key, JSON.stringify(k));
  }
}

export const view = new View();
