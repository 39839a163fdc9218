import type { Labels } from '../api/types';

/** Which net each pixel of the foil photo is on, at the size that the page works with. */
export interface LabelMap {
  width: number;
  height: number;
  /** Photo pixels for one pixel of the map. */
  step: number;
  /** 0: no net; n: net n−1 of the copper. */
  net: Uint16Array;
}

/** The number of the net at a photo pixel, −1 for none. */
export function netAt(map: LabelMap, x: number, y: number): number {
  const [i, j] = [Math.floor((x + 0.5) / map.step), Math.floor((y + 0.5) / map.step)];
  if (i < 0 || j < 0 || i >= map.width || j >= map.height) return -1;
  return (map.net[j * map.width + i] ?? 0) - 1;
}

/** Reads the labels from their runs. */
export function mapOf(labels: Labels): LabelMap {
  const { width, height, step } = labels;
  const bytes = atob(labels.runs);
  const net = new Uint16Array(width * height);
  let at = 0;
  const number = (): number => {
    let byte = bytes.charCodeAt(at++);
    let value = byte & 127;
    for (let shift = 7; byte & 128; shift += 7) {
      byte = bytes.charCodeAt(at++);
      value |= (byte & 127) << shift;
    }
    return value;
  };
  for (let i = 0; at < bytes.length;) {
    const end = i + number();
    const id = number();
    if (id !== 0) net.fill(id, i, end);
    i = end;
  }
  return { width, height, step, net };
}

/** How far a net of a row or a column was left behind. */
class Last {
  private readonly net: Uint16Array;
  private readonly at: Int32Array;

  constructor(
    size: number,
    private readonly within: number,
    private readonly met: (a: number, b: number) => void,
  ) {
    [this.net, this.at] = [new Uint16Array(size), new Int32Array(size)];
  }

  /** Takes the next net of a line, at a place along it. */
  meet(line: number, net: number, at: number): void {
    const last = this.net[line]!;
    if (last !== net) {
      if (last !== 0 && at - this.at[line]! <= this.within) this.met(net - 1, last - 1);
      this.net[line] = net;
    }
    this.at[line] = at;
  }
}

/** Pairs of nets that run within the given distance of each other, as sets by net. */
export function neighbours(map: LabelMap, nets: number, within: number): Set<number>[] {
  const out = Array.from({ length: nets }, () => new Set<number>());
  const met = (a: number, b: number): void => void (out[a]?.add(b), out[b]?.add(a));
  const { net, width, height } = map;
  const [rows, columns] = [new Last(height, within, met), new Last(width, within, met)];
  // Every fourth row and column tells as much, and memory is read in its order.
  for (let y = 0; y < height; y++) {
    const by = y % 4 === 0 ? 1 : 4;
    for (let x = 0, i = y * width; x < width; x += by, i += by) {
      const n = net[i]!;
      if (n === 0) continue;
      if (by === 1) rows.meet(y, n, x);
      if (x % 4 === 0) columns.meet(x, n, y);
    }
  }
  return out;
}
