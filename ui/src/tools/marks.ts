import type { Pixel } from '../geometry/alignment';
import { blank, type Emit, type Pointer, type Preview, tidy, type Tool } from './tool';

/** Points at copper or at bare board, one click each. */
export class SampleTool implements Tool {
  readonly name: string;

  constructor(
    private readonly copper: boolean,
    private readonly emit: Emit,
  ) {
    this.name = copper ? 'copper' : 'bare';
  }

  get preview(): Preview {
    const what = this.copper ? 'copper or solder, a bright and a dark spot of it' : 'bare board';
    return { ...blank, hint: `Click ${what}. Three or four of each are enough.` };
  }

  pointerDown(): boolean {
    return false;
  }

  pointerMove(): void {}

  pointerUp(p: Pointer): void {
    if (p.face === 'foil') this.emit({ do: 'sample', sample: { at: tidy(p.at), copper: this.copper } });
  }

  cancel(): boolean {
    return false;
  }
}

/**
 * Draws a short straight stroke on the foil photo: a cut across copper, or a
 * join. Dragging draws it; two clicks do as well, for keys and for touch.
 */
export class StrokeTool implements Tool {
  private from: Pixel | null = null;
  private to: Pixel | null = null;
  private clicked = false;

  constructor(
    readonly name: 'cut' | 'join',
    private readonly emit: Emit,
  ) {}

  get preview(): Preview {
    const hint =
      this.name === 'cut'
        ? 'Draw a line across copper that should end there.'
        : 'Draw a line from one piece of copper to the other that it goes on to.';
    if (!this.from) return { ...blank, hint };
    const line = { face: 'foil' as const, from: this.from, to: this.to ?? this.from, role: this.name };
    return {
      ...blank,
      lines: [line],
      hint: this.clicked ? 'Click where the line ends. Escape gives it up.' : hint,
    };
  }

  pointerDown(p: Pointer): boolean {
    if (p.face !== 'foil') return false;
    if (!this.clicked) this.from = p.at;
    this.to = p.at;
    return true;
  }

  pointerMove(p: Pointer): void {
    if (this.from && p.face === 'foil') this.to = p.at;
  }

  pointerUp(p: Pointer): void {
    if (!this.from) return;
    const short = Math.hypot(p.at[0] - this.from[0], p.at[1] - this.from[1]) < p.reach / 2;
    if (short && !this.clicked) {
      this.clicked = true; // the first of two clicks
      return;
    }
    const stroke = { from: tidy(this.from), to: tidy(p.at) };
    this.cancel();
    if (!short) this.emit({ do: this.name, stroke });
  }

  cancel(): boolean {
    const busy = this.from !== null;
    [this.from, this.to, this.clicked] = [null, null, false];
    return busy;
  }
}

/** Two places a known distance apart, for the scale of the board. */
export class ScaleTool implements Tool {
  readonly name = 'scale';
  private first: { face: 'component' | 'foil'; at: Pixel } | null = null;

  constructor(private readonly done: (on: 'component' | 'foil', from: Pixel, to: Pixel) => void) {}

  get preview(): Preview {
    if (!this.first) return { ...blank, hint: 'Click one end of a distance that you know.' };
    return {
      ...blank,
      points: [{ ...this.first, role: 'half' }],
      hint: 'Click the other end, on the same photo.',
    };
  }

  pointerDown(): boolean {
    return false;
  }

  pointerMove(): void {}

  pointerUp(p: Pointer): void {
    if (!this.first || this.first.face !== p.face) {
      this.first = { face: p.face, at: tidy(p.at) };
      return;
    }
    const first = this.first;
    this.first = null;
    this.done(p.face, first.at, tidy(p.at));
  }

  cancel(): boolean {
    const busy = this.first !== null;
    this.first = null;
    return busy;
  }
}
