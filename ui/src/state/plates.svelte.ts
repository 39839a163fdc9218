import { type Look, chooseLooks, css, lookWords, paint } from '../canvas/palette';
import { bandsOf, paintErrors } from '../canvas/errormap';
import { neighbours } from '../canvas/labels';
import type { Painting, PlatePhoto } from '../canvas/plate';
import { bench } from './bench.svelte';
import { follow, joinOnce, photoPlate } from './platecache';
import { copperOfNet } from './lit';
import { view } from './view.svelte';

/** How far apart nets may run, in photo pixels of a 4000 pixel wide photo, and still want different colours. */
const nearPx = 120;

/** The two photos as plates show them, joined by the overlay, and the nets painted. */
class Plates {
  readonly component: PlatePhoto | null = $derived.by(() => photoPlate(bench.photo('component')));
  readonly foil: PlatePhoto | null = $derived.by(() => photoPlate(bench.photo('foil')));

  /** The foil photo for showing through the component side: a new one with every overlay, null without. */
  readonly foilThrough: PlatePhoto | null = $derived.by(() => {
    follow(bench.overlay);
    if (!this.component || !this.foil || !bench.overlay) return null;
    joinOnce(this.component.projection, this.foil.projection);
    return { ...this.foil };
  });

  readonly looks: Look[] = $derived.by(() => {
    const [copper, map] = [bench.copper.value, bench.labels];
    if (!copper || !map) return [];
    const within = Math.max(2, Math.round((nearPx * map.width) / 4000));
    return chooseLooks(
      copper.nets.map((n) => n.area_px),
      neighbours(map, copper.nets.length, within),
    );
  });

  /** The painted nets, ready for a plate. */
  readonly paint: Painting | null = $derived.by(() => {
    const [copper, map, looks] = [bench.copper.value, bench.labels, this.looks];
    if (!copper || !map || !this.foil || looks.length === 0) return null;
    const lit = copperOfNet(view.lit, copper, bench.circuit.value);
    for (const net of view.alight) lit.add(copper.nets.findIndex((n) => n.id === net));
    const outlined = view.alight.length > 0;
    return {
      projection: this.foil.projection,
      draw: (c, seen) => {
        const pixels = paint(map, looks, seen, lit, outlined);
        c.putImageData(new ImageData(pixels, seen.width, seen.height), 0, 0);
      },
    };
  });

  /** How far the overlay may be off, painted over the component side; null where that is not known. */
  readonly errors: Painting | null = $derived.by(() => {
    const [spread, photo] = [bench.align.value?.spread, bench.photo('component')];
    if (!spread || !photo || !this.component) return null;
    const [width, height] = [400, Math.round((400 * spread.rows) / spread.columns)];
    const canvas = canvasOf(paintErrors(spread, bandsOf(spread), width, height), width, height);
    return {
      projection: this.component.projection,
      draw: (c, { left, top, perPixel: k }) =>
        c.drawImage(canvas, -left / k, -top / k, photo.width / k, photo.height / k),
    };
  });

  /** The colour of a copper net, for lists. */
  colourOf(net: string): string {
    const look = this.lookOf(net);
    return look ? css(look) : 'transparent';
  }

  /** How a copper net is painted, in words. */
  lookWordsOf(net: string): string {
    const look = this.lookOf(net);
    return look ? lookWords(look) : 'in no colour yet';
  }

  private lookOf(net: string): Look | undefined {
    return this.looks[bench.copper.value?.nets.findIndex((n) => n.id === net) ?? -1];
  }
}

function canvasOf(pixels: Uint8ClampedArray<ArrayBuffer>, width: number, height: number): HTMLCanvasElement {
  const canvas = document.createElement('canvas');
  [canvas.width, canvas.height] = [width, height];
  canvas.getContext('2d')?.putImageData(new ImageData(pixels, width, height), 0, 0);
  return canvas;
}

export const plates = new Plates();
