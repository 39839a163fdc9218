import type { Page } from 'playwright-core';
import type { Copper } from '../src/api/types';

/** Cracks painted over the foil photo. */
const cracks = 24;

/**
 * Puts the foil photo in again with cracks painted across its tracks, each
 * deeper than the one before: from surely whole to surely broken, with some
 * that nobody can tell between. The page must be the bench's own.
 */
export async function crackTracks(page: Page, copper: Copper): Promise<void> {
  const places = upright(copper);
  const chosen = Array.from({ length: cracks }, (_, k) => places[Math.floor((k * places.length) / cracks)]!);
  await page.evaluate(async (at) => {
    const photo = await createImageBitmap(await (await fetch('/api/photo/foil')).blob());
    const canvas = new OffscreenCanvas(photo.width, photo.height);
    const c = canvas.getContext('2d')!;
    c.drawImage(photo, 0, 0);
    at.forEach(({ x, y, width }, k) => {
      const [r, g, b] = c.getImageData(x - 12, y, 1, 1).data;
      c.fillStyle = `rgb(${r} ${g} ${b} / ${0.5 + (0.45 * k) / at.length})`;
      c.fillRect(x - 4, y - 4, width + 8, 8);
    });
    const body = await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.95 });
    const put = await fetch('/api/photo/foil?name=cracked.jpg', { method: 'PUT', body });
    if (!put.ok) throw new Error(await put.text());
  }, chosen);
}

interface Place {
  x: number;
  y: number;
  width: number;
}

/** Places where a track runs upright: the copper is as wide as a track, and so above and below. */
function upright(copper: Copper): Place[] {
  const { width, height, step, runs } = copper.labels;
  const rows: { net: number; from: number; to: number }[][] = Array.from({ length: height }, () => []);
  const bytes = Buffer.from(runs, 'base64');
  let at = 0;
  const number = (): number => {
    let value = 0;
    for (let shift = 0; ; shift += 7) {
      const byte = bytes[at++]!;
      value |= (byte & 127) << shift;
      if (byte < 128) return value;
    }
  };
  for (let i = 0; at < bytes.length;) {
    const [count, net] = [number(), number()];
    if (net) rows[Math.floor(i / width)]?.push({ net, from: i % width, to: (i % width) + count });
    i += count;
  }
  const [far, widest, slant] = [Math.round(height / 60), height / 30, height / 200];
  const out: Place[] = [];
  for (let y = far; y + far < height; y += far) {
    for (const run of rows[y]!) {
      const same = [rows[y - far]!, rows[y + far]!].every((row) =>
        row.some(
          (r) => r.net === run.net && Math.abs(r.from - run.from) < slant && Math.abs(r.to - run.to) < slant,
        ),
      );
      if (same && run.to - run.from < widest)
        out.push({ x: run.from * step, y: y * step, width: (run.to - run.from) * step });
    }
  }
  return out;
}
