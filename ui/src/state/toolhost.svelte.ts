import { untrack } from 'svelte';
import type { Pixel } from '../geometry/alignment';
import { blank, type Face, type Pointer, type Preview, type Tool } from '../tools/tool';

/** Holds the tool in hand for one page and what it shows; plates send their pointers here. */
export class ToolHost {
  tool = $state.raw<Tool | null>(null);
  preview = $state.raw<Preview>(blank);
  hover = $state.raw<{ face: Face; at: Pixel } | null>(null);

  take(tool: Tool): void {
    untrack(() => this.tool?.cancel());
    this.tool = tool;
    this.refresh();
  }

  down(p: Pointer): boolean {
    const taken = this.tool?.pointerDown(p) ?? false;
    this.refresh();
    return taken;
  }

  move(p: Pointer): void {
    this.hover = { face: p.face, at: p.at };
    this.tool?.pointerMove(p);
    this.refresh();
  }

  up(p: Pointer): void {
    this.tool?.pointerUp(p);
    this.refresh();
  }

  cancel(): boolean {
    const busy = this.tool?.cancel() ?? false;
    this.refresh();
    return busy;
  }

  /** Reads the preview anew, for when the tool's surroundings changed. */
  refresh(): void {
    this.preview = untrack(() => this.tool?.preview ?? blank);
  }
}
