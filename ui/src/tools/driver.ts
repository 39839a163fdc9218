import type { Command } from '../api/types';
import type { Pixel } from '../geometry/alignment';
import type { Face, Tool } from './tool';

/** A headless hand for tests: moves the pointer over a tool. */
export class Hand {
  constructor(
    private readonly tool: Tool,
    private readonly reach = 10,
  ) {}

  down(face: Face, ...at: Pixel): boolean {
    return this.tool.pointerDown({ face, at, reach: this.reach });
  }

  move(face: Face, ...at: Pixel): void {
    this.tool.pointerMove({ face, at, reach: this.reach });
  }

  up(face: Face, ...at: Pixel): void {
    this.tool.pointerUp({ face, at, reach: this.reach });
  }

  click(face: Face, ...at: Pixel): void {
    this.down(face, ...at);
    this.up(face, ...at);
  }

  drag(face: Face, from: Pixel, to: Pixel): void {
    this.down(face, ...from);
    this.move(face, (from[0] + to[0]) / 2, (from[1] + to[1]) / 2);
    this.move(face, ...to);
    this.up(face, ...to);
  }
}

/**
 * A document of one list, with undo, that stands in for the server in tests:
 * add, replace by index and remove by index, as the real commands do.
 */
export class FakeList<T> {
  items: T[] = [];
  private past: T[][] = [];
  private future: T[][] = [];

  constructor(private readonly field: keyof Command) {}

  readonly emit = (c: Command): void => {
    this.past.push([...this.items]);
    this.future = [];
    const item = c[this.field] as T;
    if (c.index === undefined) this.items = [...this.items, item];
    else if (c.remove) this.items = this.items.filter((_, i) => i !== c.index);
    else this.items = this.items.map((x, i) => (i === c.index ? item : x));
  };

  undo(): void {
    const before = this.past.pop();
    if (!before) return;
    this.future.push(this.items);
    this.items = before;
  }

  redo(): void {
    const after = this.future.pop();
    if (!after) return;
    this.past.push(this.items);
    this.items = after;
  }
}
