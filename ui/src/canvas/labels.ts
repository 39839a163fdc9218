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

/** Turns RGBA bytes of a label picture into net numbers: 65536·R + 256·G + B. */
export function numbersOf(rgba: Uint8ClampedArray): Uint16Array {
  const out = new Uint16Array(rgba.length / 4);
  for (let i = 0, k = 0; i < out.length; i++, k += 4) {
    out[i] = ((rgba[k] ?? 0) << 16) | ((rgba[k + 1] ?? 0) << 8) | (rgba[k + 2] ?? 0);
  }
  return out;
}

/** Reads a label picture, shrunk by taking single pixels, since labels have no average. */
export async function readLabels(blob: Blob, widest = 2400): Promise<LabelMap> {
  const bitmap = await createImageBitmap(blob, { colorSpaceConversion: 'none', premultiplyAlpha: 'none' });
  const step = Math.max(1, Math.max(bitmap.width, bitmap.height) / widest);
  const [width, height] = [Math.floor(bitmap.width / step), Math.floor(bitmap.height / step)];
  const context = new OffscreenCanvas(width, height).getContext('2d', { willReadFrequently: true });
  if (!context) throw new Error('this browser gives no drawing surface');
  context.imageSmoothingEnabled = false;
  context.drawImage(bitmap, 0, 0, width, height);
  bitmap.close();
  return { width, height, step, net: numbersOf(context.getImageData(0, 0, width, height).data) };
}

/** Pairs of nets that run within the given distance of each other, as sets by net. */
export function neighbours(map: LabelMap, nets: number, within: number): Set<number>[] {
  const out = Array.from({ length: nets }, () => new Set<number>());
  const scan = (start: number, stride: number, count: number): void => {
    let [last, gone] = [0, Infinity];
    for (let i = 0, k = start; i < count; i++, k += stride) {
      const net = map.net[k] ?? 0;
      gone += 1;
      if (net === 0) continue;
      if (net !== last && last !== 0 && gone <= within) {
        out[net - 1]?.add(last - 1);
        out[last - 1]?.add(net - 1);
      }
      [last, gone] = [net, 0];
    }
  };
  for (let j = 0; j < map.height; j += 2) scan(j * map.width, 1, map.width);
  for (let i = 0; i < map.width; i += 2) scan(i, map.width, map.height);
  return out;
}
