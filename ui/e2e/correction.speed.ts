import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, test } from 'vitest';
import type { Copper, Job } from '../src/api/types';
import { goTo, openBrowser, openPage } from './browser';
import { Person } from './person';
import { ask, Workplace } from './program';

// A correction from the hand's letting go to the nets painted anew, on the
// demonstration's foil photo enlarged to 12 megapixels.

const work = new Workplace();
const [width, height] = [4000, 3000];
const times = 8;
let browser: Browser;
let address: string;
let page: Page;
let person: Person;
const job = (): Promise<Job> => ask<Job>(address, '/api/job');

beforeAll(async () => {
  address = await work.serve('demo', 'survey');
  browser = await openBrowser();
  page = (await openPage(browser)).page;
  person = new Person(page, job);
  await page.addInitScript(() => {
    const letGo = (): void => void performance.mark('let go');
    addEventListener('pointerup', letGo, true);
    addEventListener('keydown', letGo, true);
    new PerformanceObserver((list) => {
      for (const e of list.getEntries()) performance.mark('long task', { detail: e.duration });
    }).observe({ type: 'longtask' });
  });
  await page.goto(address);
  await goTo(page, 'Photographs');
  await enlarge();
  await goTo(page, 'Copper');
  await page.getByRole('heading', { name: 'Nets', exact: true }).waitFor({ timeout: 200_000 });
  await page.waitForTimeout(3000);
});

afterAll(async () => {
  await browser?.close();
  await work.close();
});

/** Puts the foil photo in again, as large as a telephone's. */
async function enlarge(): Promise<void> {
  await page.evaluate(
    async ([w, h]) => {
      const old = await createImageBitmap(await (await fetch('/api/photo/foil')).blob());
      const canvas = new OffscreenCanvas(w, h);
      canvas.getContext('2d')!.drawImage(old, 0, 0, w, h);
      const body = await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.9 });
      await fetch('/api/photo/foil?name=large.jpg', { method: 'PUT', body });
    },
    [width, height] as const,
  );
  await person.until((j) => j.photos.some((p) => p.width === width), 'a photo of 12 megapixels');
  // Marks made on the small photo fit no more; what is measured needs none.
  const { samples, parts } = await job();
  for (let i = samples.length; i > 0; i--) await command({ do: 'sample', remove: true, index: i - 1 });
  for (const p of parts) await command({ do: 'part', remove: true, was: p.ref });
}

const command = (body: object): Promise<void> =>
  page.evaluate(async (b) => {
    const sent = { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(b) };
    await fetch('/api/command', sent);
  }, body);

/** Does one thing and gives the milliseconds until the nets were painted, and what each request took of them. */
async function timed(act: () => Promise<void>): Promise<{ total: number; parts: Record<string, number> }> {
  await page.evaluate(() => (performance.clearMarks(), performance.clearResourceTimings()));
  await act();
  const painted = (): boolean => performance.getEntriesByName('nets painted').length > 0;
  await page.waitForFunction(painted, undefined, { timeout: 60_000 });
  await page.waitForTimeout(700);
  return page.evaluate(() => {
    const start = performance.getEntriesByName('let go').at(-1)?.startTime ?? 0;
    const end = performance.getEntriesByName('nets painted').at(-1)?.startTime ?? 0;
    const parts: Record<string, number> = {};
    for (const r of performance.getEntriesByType('resource'))
      if (r.name.includes('/api/')) {
        const name = new URL(r.name).pathname;
        parts[name] = (parts[name] ?? 0) + r.duration;
        parts[`${name} at`] = r.startTime - start;
      }
    return { total: end - start, parts };
  });
}

const say = (line: string): void => void process.stdout.write(`${line}\n`);

const median = (list: number[]): number =>
  [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)] ?? NaN;

async function report(what: string, act: (i: number) => Promise<void>, back: boolean): Promise<void> {
  const runs: Awaited<ReturnType<typeof timed>>[] = [];
  for (let i = 0; i < times; i++) {
    runs.push(await timed(() => act(i)));
    if (back) await timed(() => page.keyboard.press('Control+z'));
  }
  const names = [...new Set(runs.flatMap((r) => Object.keys(r.parts)))];
  const each = names.map((n) => `${n} ${median(runs.map((r) => r.parts[n] ?? 0)).toFixed(0)}`);
  const all = runs.map((r) => r.total.toFixed(0)).join(' ');
  say(`${what}: median ${median(runs.map((r) => r.total)).toFixed(0)} ms (${all}); ${each.join(', ')}`);
}

test('a correction, from letting go to the nets painted', async () => {
  const copper = await ask<Copper>(address, '/api/copper');
  say(
    `${copper.width} × ${copper.height} pixels, ${copper.nets.length} nets, ${copper.joints.length} joints`,
  );
  await page.keyboard.press('x');
  await report('cut', (i) => person.drag('foil', [1400 + 60 * i, 1200], [1500 + 60 * i, 1300]), true);
  await page.keyboard.press('j');
  await report('join', (i) => person.drag('foil', [1000 + 150 * i, 700], [1300 + 150 * i, 1600]), true);
  await page.keyboard.press('p');
  await report(
    'brush stroke',
    (i) => person.drag('foil', [1200 + 90 * i, 1000], [1400 + 90 * i, 1500]),
    true,
  );
  await page.keyboard.press('b');
  await report('colour sample', (i) => person.click('foil', [300 + 20 * i, 300]), true);
});
