import { Feature, Map as OlMap, View } from 'ol';
import { defaults as defaultControls } from 'ol/control/defaults';
import { getCenter } from 'ol/extent';
import { LineString, Point as OlPoint } from 'ol/geom';
import { defaults as defaultInteractions } from 'ol/interaction/defaults';
import PointerInteraction from 'ol/interaction/Pointer';
import ImageLayer from 'ol/layer/Image';
import VectorLayer from 'ol/layer/Vector';
import type MapBrowserEvent from 'ol/MapBrowserEvent';
import type { Projection } from 'ol/proj';
import type RenderEvent from 'ol/render/Event';
import ImageCanvasSource from 'ol/source/ImageCanvas';
import ImageStatic from 'ol/source/ImageStatic';
import VectorSource from 'ol/source/Vector';
import Fill from 'ol/style/Fill';
import Stroke from 'ol/style/Stroke';
import Style from 'ol/style/Style';
import Text from 'ol/style/Text';
import type { Pixel } from '../geometry/alignment';
import { drawLine, drawMark, drawPath, type Line, type Mark, type Path } from './marks';
import type { Window } from './palette';
import { toCoordinate, toPixel } from './projections';

/** A photo with its projection, as a plate shows it. */
export interface PlatePhoto {
  url: string;
  projection: Projection;
}

/** Something painted over a photo. */
export interface Painting {
  projection: Projection;
  draw(c: CanvasRenderingContext2D, seen: Window): void;
}

/** What a plate tells of the pointer: photo pixel, and how many photo pixels count as near. */
export interface PlateHandlers {
  down(at: Pixel, reach: number): boolean;
  move(at: Pixel, reach: number): void;
  up(at: Pixel, reach: number): void;
  leave(): void;
  /** A second finger came down: the gesture moves the photo after all. */
  abandon(): void;
}

/** A name written on a photo, left out where it would lie on another. */
export interface Name {
  at: Pixel;
  text: string;
}

/** Page pixels within which a pointer counts as on a mark. */
const reachPx = 14;

/** The radius of the peep window, in page pixels. */
const peepPx = 95;

/**
 * A plate shows one photo, on demand the other one through it, nets painted
 * over, and marks. It only draws and tells of the pointer; it decides nothing.
 */
export class Plate {
  private readonly map: OlMap;
  private readonly base = new ImageLayer<ImageStatic>({ className: 'plate-base' });
  private readonly through = new ImageLayer<ImageStatic>({ className: 'plate-through', visible: false });
  private readonly paint = new ImageLayer<ImageCanvasSource>({ className: 'plate-paint', visible: false });
  private readonly marks = new VectorSource();
  private readonly lines = new VectorSource();
  private readonly strokes = new VectorSource();
  private readonly names = new VectorSource();
  private pointer: Pixel | null = null;
  private peep = false;
  private extent: number[] = [0, 0, 1, 1];

  constructor(target: HTMLElement, handlers: PlateHandlers) {
    const drawn = (source: VectorSource): VectorLayer =>
      new VectorLayer({ source, className: 'plate-marks', updateWhileInteracting: true });
    const names = new VectorLayer({ source: this.names, className: 'plate-names', declutter: true });
    this.map = new OlMap({
      target,
      layers: [
        this.base,
        this.through,
        this.paint,
        drawn(this.strokes),
        drawn(this.lines),
        drawn(this.marks),
        names,
      ],
      controls: defaultControls({ attribution: false, zoom: false, rotate: false }),
      interactions: defaultInteractions({
        altShiftDragRotate: false,
        pinchRotate: false,
        doubleClickZoom: false,
        keyboard: false,
      }),
    });
    this.map.addInteraction(this.interaction(handlers));
    this.through.on('prerender', (e) => this.clipToPeep(e));
    this.through.on('postrender', (e) => this.endPeep(e));
    target.addEventListener('pointerleave', () => {
      this.pointer = null;
      handlers.leave();
      if (this.peep) this.map.render();
    });
  }

  /** Shows a photo and fits it into the plate. */
  show(photo: PlatePhoto): void {
    this.extent = photo.projection.getExtent();
    this.base.setSource(
      new ImageStatic({ url: photo.url, imageExtent: this.extent, projection: photo.projection }),
    );
    this.map.setView(
      new View({
        projection: photo.projection,
        center: getCenter(this.extent),
        minResolution: 1 / 16,
        showFullExtent: true,
      }),
    );
    this.fit();
  }

  /** Shows the other photo through this one; null takes it away. */
  showThrough(photo: PlatePhoto | null): void {
    this.through.setVisible(photo !== null);
    if (!photo) return;
    const extent = photo.projection.getExtent();
    this.through.setSource(
      new ImageStatic({ url: photo.url, imageExtent: extent, projection: photo.projection }),
    );
  }

  /** How the other photo shows: over everything by opacity, or through the peep window only. */
  seeThrough(opacity: number, peep: boolean): void {
    this.peep = peep;
    this.through.setOpacity(peep ? 1 : opacity);
    this.map.render();
  }

  /** Paints something over the photo, anew for every part of it that is looked at. */
  showPaint(painting: Painting | null): void {
    this.paint.setVisible(painting !== null);
    if (!painting) return;
    const { projection } = painting;
    const [left, , , top] = projection.getExtent() as [number, number, number, number];
    const out = document.createElement('canvas');
    let fresh = true;
    const source = new ImageCanvasSource({
      projection,
      ratio: 1,
      canvasFunction: (extent, _resolution, _ratio, size) => {
        const [l, , r, t] = extent as [number, number, number, number];
        const [width, height] = [Math.round(size[0] ?? 1), Math.round(size[1] ?? 1)];
        [out.width, out.height] = [width, height];
        const c = out.getContext('2d');
        if (c) painting.draw(c, { left: l - left, top: top - t, perPixel: (r - l) / width, width, height });
        if (fresh) performance.mark('nets painted'); // how fast it was: npm run speed
        fresh = false;
        return out;
      },
    });
    this.paint.setSource(source);
  }

  setMarks(marks: readonly Mark[]): void {
    const features = marks.map((mark) => {
      const f = new Feature(new OlPoint(toCoordinate(mark.at)));
      f.setStyle(
        new Style({
          renderer: (at, state) => {
            const [x, y] = at as Pixel;
            drawMark(state.context, mark, x, y, state.pixelRatio, state.pixelRatio / state.resolution);
          },
        }),
      );
      return f;
    });
    this.marks.clear(true);
    this.marks.addFeatures(features);
  }

  setLines(lines: readonly Line[]): void {
    const features = lines.map((line) => {
      const f = new Feature(new LineString([toCoordinate(line.from), toCoordinate(line.to)]));
      f.setStyle(
        new Style({
          renderer: (at, state) => {
            const [from, to] = at as unknown as [Pixel, Pixel];
            drawLine(state.context, line, from, to, state.pixelRatio);
          },
        }),
      );
      return f;
    });
    this.lines.clear(true);
    this.lines.addFeatures(features);
  }

  setPaths(paths: readonly Path[]): void {
    const features = paths.map((path) => {
      const f = new Feature(new LineString(path.path.map(toCoordinate)));
      f.setStyle(
        new Style({
          renderer: (at, state) => {
            const width = (path.width / state.resolution) * state.pixelRatio;
            drawPath(state.context, path.role, at as unknown as Pixel[], width, state.pixelRatio);
          },
        }),
      );
      return f;
    });
    this.strokes.clear(true);
    this.strokes.addFeatures(features);
  }

  setNames(names: readonly Name[]): void {
    const [fill, stroke] = [new Fill({ color: '#241a12' }), new Stroke({ color: '#fdf8ec', width: 4 })];
    const features = names.map(({ at, text }) => {
      const f = new Feature(new OlPoint(toCoordinate(at)));
      const font = '600 13px system-ui, "DejaVu Sans", sans-serif';
      f.setStyle(new Style({ text: new Text({ text, font, fill, stroke, offsetY: -12 }) }));
      return f;
    });
    this.names.clear(true);
    this.names.addFeatures(features);
  }

  fit(): void {
    this.map.getView().fit(this.extent, { padding: [8, 8, 8, 8] });
  }

  zoomBy(factor: number): void {
    const view = this.map.getView();
    view.animate({
      resolution: view.getConstrainedResolution((view.getResolution() ?? 1) / factor) ?? 1,
      duration: 120,
    });
  }

  /** Brings a place into the middle; with width, so that so many photo pixels fill the plate. */
  lookAt(at: Pixel, width?: number): void {
    const view = this.map.getView();
    const resolution = width ? width / Math.max(1, this.map.getSize()?.[0] ?? 600) : view.getResolution();
    view.animate({ center: toCoordinate(at), resolution: resolution ?? 1, duration: 200 });
  }

  /** Brings a place into view only where it is outside. */
  reveal(at: Pixel): void {
    const size = this.map.getSize();
    const px = this.map.getPixelFromCoordinate(toCoordinate(at)) as number[] | null;
    if (!size || !px) return;
    const [x, y] = px as Pixel;
    if (x < 12 || y < 12 || x > (size[0] ?? 0) - 12 || y > (size[1] ?? 0) - 12) this.lookAt(at);
  }

  centre(): Pixel {
    return toPixel(this.map.getView().getCenter() ?? [0, 0]);
  }

  /** Photo pixels in one page pixel. */
  resolution(): number {
    return this.map.getView().getResolution() ?? 1;
  }

  reach(): number {
    return reachPx * this.resolution();
  }

  /** Holds the peep window over a place, for the keyboard's cross. */
  holdPeep(at: Pixel): void {
    this.pointer = this.map.getPixelFromCoordinate(toCoordinate(at)) as Pixel | null;
    if (this.peep) this.map.render();
  }

  resized(): void {
    this.map.updateSize();
  }

  close(): void {
    this.map.setTarget(undefined);
    this.map.dispose();
  }

  private interaction(h: PlateHandlers): PointerInteraction {
    let pressed: Pixel | null = null;
    let abandoned = false;
    const at = (e: MapBrowserEvent): Pixel => toPixel(e.coordinate);
    const interaction = new PointerInteraction({
      handleDownEvent: (e) => {
        pressed = e.pixel as Pixel;
        abandoned = false;
        return h.down(at(e), this.reach());
      },
      handleDragEvent: (e) => {
        if ((e.activePointers?.length ?? 1) > 1 && !abandoned) {
          abandoned = true;
          h.abandon();
        }
        if (abandoned) return;
        this.follow(e);
        h.move(at(e), this.reach());
      },
      handleUpEvent: (e) => {
        if (!abandoned) h.up(at(e), this.reach());
        pressed = null;
        return false;
      },
      handleMoveEvent: (e) => {
        this.follow(e);
        h.move(at(e), this.reach());
      },
    });
    // A press that the tool did not take and that did not become a pan is a click.
    this.map.on('click', (e) => {
      if (!pressed) return;
      pressed = null;
      h.up(at(e), this.reach());
    });
    return interaction;
  }

  private follow(e: MapBrowserEvent): void {
    this.pointer = e.pixel as Pixel;
    if (this.peep) this.map.render();
  }

  private clipToPeep(e: RenderEvent): void {
    const c = e.context as CanvasRenderingContext2D;
    c.save();
    if (!this.peep) return;
    c.beginPath();
    if (this.pointer) {
      const u = e.frameState?.pixelRatio ?? 1;
      c.arc(this.pointer[0] * u, this.pointer[1] * u, peepPx * u, 0, 2 * Math.PI);
    }
    c.clip();
  }

  private endPeep(e: RenderEvent): void {
    const c = e.context as CanvasRenderingContext2D;
    c.restore();
    if (!this.peep || !this.pointer) return;
    const u = e.frameState?.pixelRatio ?? 1;
    for (const [width, colour] of [[7, '#fdf8ec'], [3, '#241a12']] as const) {
      c.beginPath();
      c.arc(this.pointer[0] * u, this.pointer[1] * u, peepPx * u, 0, 2 * Math.PI);
      c.lineWidth = width * u;
      c.strokeStyle = colour;
      c.stroke();
    } // prettier-ignore
  }
}
