import type { Hand } from '../api/types';
import { bench } from './bench.svelte';
import { view } from './view.svelte';

/** One grid step of a drawing, in its user units. */
export const gridStep = 10;

/** What a key does to the parts held, as steps to the right and down. */
export function stepsOf(key: string, far: boolean): [number, number] | null {
  const n = far ? 5 : 1;
  switch (key) {
    case 'ArrowLeft':
      return [-n, 0];
    case 'ArrowRight':
      return [n, 0];
    case 'ArrowUp':
      return [0, -n];
    case 'ArrowDown':
      return [0, n];
  }
  return null;
}

/** The parts of the drawing that a hand has hold of, and how far it has carried them. */
class Arrange {
  on = $state(false);
  held = $state.raw<readonly string[]>([]);
  /** Where the parts held are carried to, not yet put down: grid steps. */
  carried = $state.raw<readonly [number, number]>([0, 0]);

  take(ref: string, more: boolean): void {
    this.carried = [0, 0];
    if (!more) this.held = [ref];
    else if (this.held.includes(ref)) this.held = this.held.filter((r) => r !== ref);
    else this.held = [...this.held, ref];
  }

  takeAll(refs: readonly string[]): void {
    this.carried = [0, 0];
    this.held = [...refs];
  }

  carry(right: number, down: number): void {
    if (this.held.length > 0) this.carried = [right, down];
  }

  /** Lets go of everything; what was carried is where it was. */
  drop(): void {
    this.carried = [0, 0];
    this.held = [];
  }

  /** Puts the carried parts down where they are. */
  async put(): Promise<void> {
    const [right, down] = this.carried;
    if (right === 0 && down === 0) return;
    await this.do({ move: 'move', parts: [...this.held], right, down });
  }

  /** A move of the parts held. */
  async do(hand: Hand): Promise<void> {
    await bench.do({ do: 'hand', hand: { ...hand, standard: view.standard } });
    this.carried = [0, 0];
  }
}

export const arrange = new Arrange();
