import type { Pair } from '../api/types';
import type { Overlay, Pixel } from '../geometry/alignment';
import {
  blank,
  type Emit,
  type Face,
  nearest,
  otherFace,
  type Pointer,
  type Preview,
  tidy,
  type Tool,
} from './tool';

type State =
  | { is: 'waiting' }
  /** One place is marked; where the overlay is known, the other is guessed from it. */
  | { is: 'half'; face: Face; at: Pixel; guess: Pixel | null }
  | { is: 'moving'; index: number; face: Face; at: Pixel }
  /** A pair that is there already, in the loupe. */
  | { is: 'held'; index: number; pair: Pair };

/** The marks in the loupe: of a pair that is there, by its index, or of one that is being made. */
export interface InHand {
  index: number | null;
  component: Pixel | null;
  foil: Pixel | null;
  /** It can be kept as it is. */
  ready: boolean;
}

export const nothingInHand: InHand = { index: null, component: null, foil: null, ready: false };

/**
 * Marks the same place on both photos: a click on one, then on the other,
 * makes a pair. Where one face lies over the other already, the second place is
 * guessed, and the guess can be kept. A mark that is there can be dragged, or
 * held in the loupe and moved there by single pixels and tenths of them.
 */
export class PairTool implements Tool {
  readonly name = 'pairs';
  private state: State = { is: 'waiting' };

  constructor(
    private readonly pairs: () => readonly Pair[],
    private readonly emit: Emit,
    private readonly overlay: () => Overlay | null = () => null,
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
          points: [
            { face: s.face, at: s.at, role: 'half' },
            ...(s.guess ? [{ face: otherFace(s.face), at: s.guess, role: 'guess' }] : []),
          ],
          hint: `Now click the same place on the ${otherFace(s.face)} side${s.guess ? ', or set it in the loupe and keep it' : ''}. Escape gives it up.`,
        };
      case 'moving':
        return {
          ...blank,
          points: [{ face: s.face, at: s.at, role: 'moving' }],
          hint: 'Let go where it belongs.',
        };
      case 'held':
        return {
          ...blank,
          points: [
            { face: 'component', at: s.pair.component, role: 'moving' },
            { face: 'foil', at: s.pair.foil, role: 'moving' },
          ],
          hint: `Pair ${s.index + 1} is in the loupe: arrow keys move it there.`,
        };
    }
  }

  /** What the loupe shows, and whether it can be kept as it is. */
  get inHand(): InHand {
    const s = this.state;
    if (s.is === 'held') return { index: s.index, ...s.pair, ready: this.changed(s.index, s.pair) };
    if (s.is !== 'half') return nothingInHand;
    const [own, other] = [s.at, s.guess];
    const [component, foil] = s.face === 'component' ? [own, other] : [other, own];
    return { index: null, component, foil, ready: other !== null };
  }

  /** Takes a pair that is there into the loupe. */
  hold(index: number): void {
    const pair = this.pairs()[index];
    if (pair)
      this.state = { is: 'held', index, pair: { component: [...pair.component], foil: [...pair.foil] } };
  }

  /** Moves a mark that is in the loupe. */
  nudge(face: Face, dx: number, dy: number): void {
    const s = this.state;
    const moved = (p: Pixel): Pixel => [p[0] + dx, p[1] + dy];
    if (s.is === 'held') this.state = { ...s, pair: { ...s.pair, [face]: moved(s.pair[face]) } };
    else if (s.is === 'half' && s.face === face) this.state = { ...s, at: moved(s.at) };
    else if (s.is === 'half' && s.guess) this.state = { ...s, guess: moved(s.guess) };
  }

  /** Keeps what is in the loupe. */
  keep(): void {
    const { index, component, foil, ready } = this.inHand;
    if (!ready || !component || !foil) return;
    const pair = { component: tidy(component), foil: tidy(foil) };
    this.state = { is: 'waiting' };
    this.emit(index === null ? { do: 'pair', pair } : { do: 'pair', index, pair });
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
      case 'held':
        this.state = this.halfAt(p.face, tidy(p.at));
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

  private halfAt(face: Face, at: Pixel): State {
    const overlay = this.overlay();
    const over = face === 'component' ? overlay?.toFoil(at) : overlay?.toComponent(at);
    return { is: 'half', face, at, guess: over ? tidy(over) : null };
  }

  private changed(index: number, pair: Pair): boolean {
    const was = this.pairs()[index];
    const off = (a: Pixel, b: Pixel): boolean => tidy(a).some((v, i) => v !== tidy(b)[i]);
    return was !== undefined && (off(was.component, pair.component) || off(was.foil, pair.foil));
  }

  private finish(s: { face: Face; at: Pixel }, p: Pointer): void {
    const at = tidy(p.at);
    if (p.face === s.face) {
      this.state = this.halfAt(p.face, at); // the first place corrected
      return;
    }
    const pair = p.face === 'foil' ? { component: s.at, foil: at } : { component: at, foil: s.at };
    this.state = { is: 'waiting' };
    this.emit({ do: 'pair', pair: { component: tidy(pair.component), foil: tidy(pair.foil) } });
  }

  private move(s: { index: number; face: Face }, p: Pointer): void {
    const pair = this.pairs()[s.index];
    this.state = { is: 'waiting' };
    if (!pair) return;
    const at = tidy(p.at);
    const was = pair[s.face];
    // A click on it, or as good as one: it is taken into the loupe.
    if (Math.hypot(was[0] - at[0], was[1] - at[1]) < p.reach / 3) return this.hold(s.index);
    this.emit({ do: 'pair', index: s.index, pair: { ...pair, [s.face]: at } });
  }
}
