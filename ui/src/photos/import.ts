import { Trouble } from '../api/client';
import { bench } from '../state/bench.svelte';
import type { Face } from '../tools/tool';
import { heicToJpeg, isHeic } from './heic';

/** Sends a photo to the bench; resolves to whether it was taken. */
type Send = (name: string, bytes: Blob) => Promise<boolean>;

/** Takes a chosen photo of one face in. */
export function takeIn(side: Face, file: File, tell: (what: string) => void): Promise<boolean> {
  return take(file, tell, (name, bytes) => bench.upload(side, name, bytes));
}

/** Takes one more photo of the foil side in. */
export function takeFurther(file: File, backlit: boolean, tell: (what: string) => void): Promise<boolean> {
  return take(file, tell, (name, bytes) => bench.uploadFurther(name, bytes, backlit));
}

/**
 * The photo goes to the bench as it is, which reads it and keeps its bytes. Only
 * a HEIC photo that the bench has no decoder for on this machine is decoded here
 * and goes as JPEG.
 */
async function take(file: File, tell: (what: string) => void, send: Send): Promise<boolean> {
  const heic = isHeic(new Uint8Array(await file.slice(0, 12).arrayBuffer()));
  tell(`Taking in ${file.name}`);
  if (await send(file.name, file)) return true;
  if (!heic) return false;
  const refusal = bench.trouble;
  try {
    tell(`Decoding ${file.name}`);
    const jpeg = await heicToJpeg(await file.arrayBuffer());
    return await send(file.name.replace(/\.hei[cf]$/i, '') + '.jpg', jpeg);
  } catch (e) {
    const reason = e instanceof Error ? e.message : String(e);
    bench.fail(
      refusal ?? new Trouble(`${file.name}: ${reason}`, 'save it as JPEG and give that', 'bad-input'),
    );
    return false;
  }
}
