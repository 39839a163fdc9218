import { Trouble } from '../api/client';
import { bench } from '../state/bench.svelte';
import type { Face } from '../tools/tool';
import { heicToJpeg, isHeic } from './heic';

/**
 * Takes a chosen photo in. It goes to the bench as it is, which reads it and
 * keeps its bytes. Only a HEIC photo that the bench has no decoder for on this
 * machine is decoded here and goes as JPEG.
 */
export async function takeIn(side: Face, file: File, tell: (what: string) => void): Promise<boolean> {
  const heic = isHeic(new Uint8Array(await file.slice(0, 12).arrayBuffer()));
  tell(`Taking in ${file.name}`);
  if (await bench.upload(side, file.name, file)) return true;
  if (!heic) return false;
  const refusal = bench.trouble;
  try {
    tell(`Decoding ${file.name}`);
    const jpeg = await heicToJpeg(await file.arrayBuffer());
    return await bench.upload(side, file.name.replace(/\.hei[cf]$/i, '') + '.jpg', jpeg);
  } catch (e) {
    const reason = e instanceof Error ? e.message : String(e);
    bench.fail(
      refusal ?? new Trouble(`${file.name}: ${reason}`, 'save it as JPEG and give that', 'bad-input'),
    );
    return false;
  }
}
