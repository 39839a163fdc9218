import type { Browser } from 'playwright-core';
import { afterAll, beforeAll } from 'vitest';
import { openBrowser } from './browser';
import { Workplace } from './program';

/** A demonstration served for all tests of a file, and a browser beside it. */
export function demonstration(name: string): { readonly browser: Browser; readonly address: string } {
  const work = new Workplace();
  let browser: Browser | undefined;
  let address = '';
  beforeAll(async () => {
    address = await work.serve('demo', name);
    browser = await openBrowser();
  });
  afterAll(async () => {
    await browser?.close();
    await work.close();
  });
  return {
    get browser() {
      if (!browser) throw new Error('the browser is there only while tests run');
      return browser;
    },
    get address() {
      return address;
    },
  };
}
