import { expect, test } from 'vitest';
import { isHeic } from './heic';

const head = (text: string): Uint8Array => Uint8Array.from(text, (c) => c.charCodeAt(0));

test.each([
  ['a phone photo', '\0\0\0\x18ftypheic\0\0\0\0', true],
  ['another of the kind', '\0\0\0\x18ftypmif1\0\0\0\0', true],
  ['a film', '\0\0\0\x18ftypisom\0\0\0\0', false],
  ['a JPEG', '\xff\xd8\xff\xe0\0\x10JFIF\0\0\0\0', false],
  ['nothing', '', false],
])('%s', (_name, text, want) => {
  expect(isHeic(head(text))).toBe(want);
});
