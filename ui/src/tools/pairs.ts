import type { Pair } from '../api/types';
import type { Pixel } from '../geometry/alignment';
import { blank, type Emit, type Face, nearest, type Pointer, type Preview, tidy, type Tool } from './tool';

type State =
  | { is: 'waiting' }
  | { is: 'half'; face: Face; at: Pixel }
  | { is: 'moving'; index: number; face: Face; at: Pixel };

/**
 * Marks the same place on both photos: a click on one, then on the other,
 * makes a pair. A mark that is there already can be dragged.
 */
export class PairTool implements Tool {
  readonly name = 'pairs';
  private state: State = { is: 'waiting' };

  constructor(
    private readonly pairs: () => readonly Pair[],
    private readonly emit: Emit,
  ) {}

  get preview(): Preview {
    const s = this.state;
    switch (s.is) {
      case 'waiting':
        return {
          ...blank,
          hint: 'Click a place that you can tell on both photos: a hole, a joint, a corner.',
        };
      case 'half':
        return {
          ...blank,
          points: [{ face: s.face, at: s.at, role: 'half' }],
          hint: `Now click the same place on the ${s.face === 'foil' ? 'component' : 'foil'} side. Escape gives it up.`,
        };
      case 'moving':
        return {
          ...blank,
          points: [{ face: s.face, at: s.at, role: 'moving' }],
          hint: 'Let go where it belongs.',
        };
    }
  }

  pointerDown(p: Pointer): boolean {
    if (this.state.is === 'half') return false;
    const index = nearest(
      this.pairs().map((pair) => pair[p.face]),
      p.at,
      p.reach,
    );
    if (index < 0) return false;
    this.state = { is: 'moving', index, face: p.face, at: p.at };
    return true;
  }

  pointerMove(p: Pointer): void {
    if (this.state.is === 'moving' && p.face === this.state.face) this.state = { ...this.state, at: p.at };
  }

  pointerUp(p: Pointer): void {
    const s = this.state;
    switch (s.is) {
      case 'waiting':
        this.state = { is: 'half', face: p.face, at: tidy(p.at) };
        return;
      case 'half':
        this.finish(s, p);
        return;
      case 'moving':
        this.move(s, p);
    }
  }

  cancel(): boolean {
    const busy = this.state.is !== 'waiting';
    this.state = { is: 'waiting' };
    return busy;
  }

  private finish(s: { face: Face; at: Pixel }, p: Pointer): void {
    const at = tidy(p.at);
    if (p.face === s.face) {
      this.state = { is: 'half', face: p.face, at }; // the first place corrected
      return;
    }
    const pair = p.face === 'foil' ? { component: s.at, foil: at } : { component: at, foil: s.at };
    this.state = { is: 'waiting' };
    this.emit({ do: 'pair', pair });
  }

  private move(s: { index: number; face: Face }, p: Pointer): void {
    const pair = this.pairs()[s.index];
    this.state = { is: 'waiting' };
    if (!pair) return;
    const at = tidy(p.at);
    const was = pair[s.face];
    if (Math.hypot(was[0] - at[0], was[1] - at[1]) < 0.5) return; // a click on it, no drag
    this.emit({ do: 'pair', index: s.index, pair: { ...pair, [s.face]: at } });
  }
}
