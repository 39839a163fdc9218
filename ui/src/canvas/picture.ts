/** The address of a photo's working copy. The hash makes the browser keep it until the photo changes. */
export function readable(face: string, hash: string): string {
  return `/api/photo/${face}?${hash.slice(0, 12)}`;
}

const loaded = new Map<string, Promise<HTMLImageElement>>();

/** A picture decoded once, for drawing pieces of it. */
export function picture(url: string): Promise<HTMLImageElement> {
  const known = loaded.get(url);
  if (known) return known;
  const image = new Image();
  image.src = url;
  const ready = image.decode().then(() => image);
  loaded.set(url, ready);
  return ready;
}
