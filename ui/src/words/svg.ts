/** Elements that a drawing may hold; anything else is dropped. */
const allowed = new Set([
  'svg', 'g', 'path', 'circle', 'ellipse', 'rect', 'line', 'polyline', 'polygon', 'text', 'tspan', 'title', 'desc', 'defs', 'style',
]); // prettier-ignore

/**
 * Reads a drawing and keeps only what draws: no scripts, no handlers, no
 * references outside. Our own server made it, from texts that a person typed.
 */
export function readDrawing(text: string): SVGSVGElement | null {
  const doc = new DOMParser().parseFromString(text, 'image/svg+xml');
  const root = doc.documentElement;
  if (root.nodeName !== 'svg' || doc.querySelector('parsererror')) return null;
  for (const e of [...root.querySelectorAll('*')]) {
    if (!allowed.has(e.localName)) e.remove();
    else for (const a of [...e.attributes]) if (/^on|href$/i.test(a.name)) e.removeAttribute(a.name);
  }
  return document.importNode(root, true) as unknown as SVGSVGElement;
}

/** A point on a net of a drawing, to set a mark at: of its first wire, dot or continuation. */
export function pointOfNet(svg: SVGSVGElement, net: string): [number, number] | null {
  const of = (selector: string): Element | undefined =>
    [...svg.querySelectorAll(selector)].find((e) => e.getAttribute('data-net') === net);
  const wire = of('path.wire');
  const start = /^M\s*(-?[\d.]+)[\s,]+(-?[\d.]+)/.exec(wire?.getAttribute('d') ?? '');
  if (start) return [Number(start[1]), Number(start[2])];
  const continues = of('g.continues');
  if (continues) return [Number(continues.getAttribute('data-x')), Number(continues.getAttribute('data-y'))];
  const dot = of('circle.dot');
  return dot ? [Number(dot.getAttribute('cx')), Number(dot.getAttribute('cy'))] : null;
}

/** A view box as left, top, width, height. */
export type Box = [number, number, number, number];

/**
 * The part of a drawing that holds some nets, with room around it, but not
 * narrower than a share of the whole: a detail with its surroundings.
 */
export function detail(whole: Box, points: readonly (readonly [number, number])[], share = 0.45): Box {
  if (points.length === 0) return whole;
  const [xs, ys] = [points.map((p) => p[0]), points.map((p) => p[1])];
  const fit = (low: number, high: number, from: number, size: number): [number, number] => {
    const wide = Math.min(size, Math.max((high - low) * 1.3, size * share));
    const start = Math.min(Math.max((low + high - wide) / 2, from), from + size - wide);
    return [start, wide];
  };
  const [left, width] = fit(Math.min(...xs), Math.max(...xs), whole[0], whole[2]);
  const [top, height] = fit(Math.min(...ys), Math.max(...ys), whole[1], whole[3]);
  return [left, top, width, height];
}
