import wasm from 'libheif-js/libheif-wasm/libheif.wasm?url';

/** What the decoder's own types leave out. */
interface HeifImage {
  get_width(): number;
  get_height(): number;
  display(
    into: { data: Uint8ClampedArray; width: number; height: number },
    done: (shown: unknown) => void,
  ): void;
  free(): void;
}
interface Libheif {
  HeifDecoder: new () => { decode(bytes: Uint8Array): HeifImage[] };
}

/** Whether the bytes begin as a HEIC file does: an ftyp box with a brand of the HEVC kind (ISO/IEC 23008-12). */
export function isHeic(head: Uint8Array): boolean {
  const word = (at: number): string => String.fromCharCode(...head.subarray(at, at + 4));
  return (
    word(4) === 'ftyp' && ['heic', 'heix', 'hevc', 'heim', 'heis', 'hevx', 'mif1', 'msf1'].includes(word(8))
  );
}

/**
 * Decodes a HEIC photograph in the browser, for machines on which the program
 * itself has no decoder. The decoder is a file of its own, fetched from the
 * bench when the first such photo comes; libheif applies the turning that the
 * file asks for. Its licence lies in licences/ beside it.
 */
export async function heicToJpeg(bytes: ArrayBuffer): Promise<Blob> {
  const [{ default: start }, binary] = await Promise.all([
    import('libheif-js/libheif-wasm/libheif.js') as Promise<{ default: (o: object) => Libheif }>,
    fetch(wasm).then((r) => r.arrayBuffer()),
  ]);
  const image = new (start({ wasmBinary: binary }).HeifDecoder)().decode(new Uint8Array(bytes))[0];
  if (!image) throw new Error('the HEIC data is damaged or cut short');
  const [width, height] = [image.get_width(), image.get_height()];
  const pixels = new ImageData(width, height);
  const shown = await new Promise<unknown>((done) => image.display(pixels, done));
  image.free();
  if (!shown) throw new Error('the HEIC data is damaged or cut short');
  const canvas = new OffscreenCanvas(width, height);
  canvas.getContext('2d')?.putImageData(pixels, 0, 0);
  return canvas.convertToBlob({ type: 'image/jpeg', quality: 0.95 });
}
