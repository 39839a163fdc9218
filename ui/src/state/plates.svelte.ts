import type { Projection } from 'ol/proj';
import { type Look, chooseLooks, css, lookWords, paint } from '../canvas/palette';
import { bandsOf, paintErrors } from '../canvas/errormap';
import { type LabelMap, neighbours } from '../canvas/labels';
import type { PlatePhoto } from '../canvas/plate';
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
    const known = bench.labels.value;
    if (!known) return [];
    const { copper, map } = known;
    const within = Math.max(2, Math.round((nearPx * map.width) / 4000));
    return chooseLooks(
      copper.nets.map((n) => n.area_px),
      neighbours(map, copper.nets.length, within),
    );
  });

  /** The painted nets, ready for a plate; tick goes up when they look different. */
  readonly paint: { canvas: HTMLCanvasElement; projection: Projection; tick: number } | null = $derived.by(
    () => {
      const known = bench.labels.value;
      if (!known || !this.foil || this.looks.length === 0) return null;
      const lit = copperOfNet(view.lit, known.copper, bench.circuit.value);
      for (const net of view.alight) lit.add(known.copper.nets.findIndex((n) => n.id === net));
      const outlined = view.alight.length > 0;
      return {
        canvas: painted(known.map, this.looks, lit, outlined),
        projection: this.foil.projection,
        tick: 0,
      };
    },
  );

  /** How far the overlay may be off, painted over the component side; null where that is not known. */
  readonly errors: { canvas: HTMLCanvasElement; projection: Projection; tick: number } | null = $derived.by(
    () => {
      const spread = bench.align.value?.spread;
      if (!spread || !this.component) return null;
      const [width, height] = [400, Math.round((400 * spread.rows) / spread.columns)];
      const pixels = paintErrors(spread, bandsOf(spread), width, height);
      return { canvas: canvasOf(pixels, width, height), projection: this.component.projection, tick: 0 };
    },
  );

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
    return this.looks[bench.labels.value?.copper.nets.findIndex((n) => n.id === net) ?? -1];
  }
}

function painted(
  map: LabelMap,
  looks: readonly Look[],
  lit: ReadonlySet<number>,
  outlined: boolean,
): HTMLCanvasElement {
  return canvasOf(paint(map, looks, lit, outlined), map.width, map.height);
}

function canvasOf(pixels: Uint8ClampedArray<ArrayBuffer>, width: number, height: number): HTMLCanvasElement {
  const canvas = document.createElement('canvas');
  [canvas.width, canvas.height] = [width, height];
  canvas.getContext('2d')?.putImageData(new ImageData(pixels, width, height), 0, 0);
  return canvas;
}

export const plates = new Plates();
