import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Charge, Job, Next } from '../src/api/types';
import { expectAccessible, goTo, openBrowser, openPage, shoot } from './browser';
import { ask, Workplace } from './program';

// What the pages must hold beside the story: danger comes before the probes,
// everything works by keys alone, by night and on a narrow screen.

const work = new Workplace();
let browser: Browser;
let address: string;

beforeAll(async () => {
  address = await work.serve('demo', 'survey');
  browser = await openBrowser();
});

afterAll(async () => {
  await browser?.close();
  await work.close();
});

test('a unit with a dangerous charge shows how to make it safe before any probe', async () => {
  const { page, faults } = await openPage(browser);
  await page.goto(address);
  await goTo(page, 'Readings');
  const card = page.getByRole('region', { name: 'Next reading' });
  await card.waitFor({ timeout: 120_000 });
  const charge = await ask<Charge>(address, '/api/charge');
  expect(charge.stores.some((s) => s.hazardous)).toBe(true);
  await page
    .getByRole('region', { name: 'Stored charge' })
    .getByText('Safe after')
    .waitFor({ timeout: 60_000 });

  const { next } = await ask<Next>(address, '/api/next');
  const unpowered = next.findIndex((p) => ['ohms', 'continuity', 'junction'].includes(p.mode));
  expect(unpowered).toBeGreaterThanOrEqual(0);
  if (unpowered > 0) {
    await card.getByText('Other readings worth taking').click();
    await card.locator('tbody button').nth(unpowered).click();
  }
  await card.getByText('Make it safe first').waitFor();
  expect(await card.getByLabel(/Value read/).count()).toBe(0); // no way to record before
  await shoot(page, '8-make-safe');
  await expectAccessible(page);
  const show = card.getByRole('button', { name: 'I have measured it: show the reading' });
  expect(await show.isDisabled()).toBe(true);
  await card.getByLabel('I have done this').check();
  await card.getByLabel('What the meter showed').fill('C1: 0.3 V');
  await show.click();
  await card.getByText('Good unit', { exact: true }).waitFor({ timeout: 60_000 });
  const { work: done } = await ask<Job>(address, '/api/job');
  expect(done.at(-1)).toMatchObject({ part: '', did: 'made safe; left over: C1: 0.3 V' });
  expect(faults).toEqual([]);
  await page.context().close();
});

test('a pair is marked with keys alone', async () => {
  const { page } = await openPage(browser);
  await page.goto(address);
  await goTo(page, 'Faces');
  const before = (await ask<Job>(address, '/api/job')).pairs.length;
  for (const face of ['component', 'foil']) {
    await page.locator(`[data-face="${face}"]`).focus();
    for (const key of ['ArrowRight', 'ArrowRight', 'ArrowDown', 'Shift+ArrowDown', 'Enter'])
      await page.keyboard.press(key);
  }
  await page.waitForTimeout(800);
  const { pairs, undo } = await ask<Job>(address, '/api/job');
  expect(pairs.length).toBe(before + 1);
  expect(undo).toBe('Add a point pair');
  await shoot(page, '8-keys');
  await page.keyboard.press('Control+z');
  await page.getByText('Taken back: Add a point pair').waitFor();
  expect((await ask<Job>(address, '/api/job')).pairs.length).toBe(before);
  await page.context().close();
});

test('a change on one page shows on the other', async () => {
  const [one, two] = [await openPage(browser), await openPage(browser)];
  for (const { page } of [one, two]) {
    await page.goto(address);
    await page.getByLabel('Name of the unit').waitFor();
  }
  const name = one.page.getByLabel('Name of the unit');
  await name.fill('Survey meter from the cellar');
  await name.press('Enter');
  const other = two.page.getByLabel('Name of the unit');
  await expect.poll(() => other.inputValue(), { timeout: 5000 }).toBe('Survey meter from the cellar');
  for (const { page } of [one, two]) await page.context().close();
});

const titles = ['Photographs', 'Faces', 'Copper', 'Parts', 'Drawing', 'Readings', 'Waveforms', 'Sheet'];

test('every page reads well by night', async () => {
  const { page, faults } = await openPage(browser);
  await page.goto(address);
  await page.getByRole('button', { name: 'Night' }).click();
  for (const title of titles) {
    await goTo(page, title);
    await page.waitForTimeout(2500);
    await shoot(page, `9-night-${title.toLowerCase()}`);
    await expectAccessible(page);
  }
  expect(faults).toEqual([]);
  await page.context().close();
});

test('every page fits a narrow screen', async () => {
  const { page } = await openPage(browser, { width: 412, height: 860 });
  await page.goto(address);
  for (const title of titles) {
    await goTo(page, title);
    await page.waitForTimeout(1500);
    await shoot(page, `9-narrow-${title.toLowerCase()}`);
    const wider = await page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    );
    expect(wider, `${title} is wider than the screen`).toBeLessThanOrEqual(0);
    await expectAccessible(page);
  }
  await page.context().close();
});

test('without the key of this start the page says what to do', async () => {
  const { page } = await openPage(browser);
  await page.goto(address.split('/#')[0] ?? '');
  const alert = page.getByRole('alert');
  await alert.waitFor();
  expect(await alert.innerText()).toContain('Open the address that foilside printed');
  await page.context().close();
});

/** A HEIC photo that comes with the decoder's Go module; building the program fetched it. */
function heicSample(): string {
  const cache = execFileSync('go', ['env', 'GOMODCACHE'], { encoding: 'utf8' }).trim();
  return join(cache, 'github.com/gen2brain/heic@v0.4.5/testdata/test8.heic');
}

test.skipIf(!existsSync(heicSample()))(
  'a HEIC photo that the bench has no decoder for is decoded in the browser',
  async () => {
    const own = await work.serve('bench');
    const { page } = await openPage(browser);
    const sent: string[] = [];
    // As on a processor without a decoder: the bench refuses the file itself.
    await page.route('**/api/photo/**', async (route) => {
      const request = route.request();
      if (request.method() !== 'PUT') return route.continue();
      const name = new URL(request.url()).searchParams.get('name') ?? '';
      sent.push(name);
      if (!name.endsWith('.heic')) return route.continue();
      await route.fulfill({
        status: 422,
        contentType: 'application/problem+json',
        json: { detail: 'no decoder here', kind: 'bad-input' },
      });
    });
    await page.goto(own);
    const slot = page.getByRole('group', { name: 'Foil side' });
    await slot.locator('input[type=file]').setInputFiles(heicSample());
    await slot.locator('img').waitFor({ timeout: 60_000 });
    expect(sent).toEqual(['test8.heic', 'test8.jpg']);
    const { photos } = await ask<Job>(own, '/api/job');
    expect(photos.map((p) => [p.side, p.name])).toEqual([['foil', 'test8.jpg']]);
    expect(photos[0]?.width).toBeGreaterThan(64);
    await page.context().close();
  },
);

test('a close-up is laid on the foil photo by itself; what shows something else is not used, and says why', async () => {
  const own = await work.serve('demo', 'intercom');
  const { page, faults } = await openPage(browser);
  await page.goto(own);
  await goTo(page, 'Photographs');
  const section = page.getByRole('region', { name: 'More photographs of the foil side' });
  // The middle of the foil photo at twice its size, and grass.
  const [near, grass] = await page.evaluate(async () => {
    const photo = await createImageBitmap(await (await fetch('/api/photo/foil')).blob());
    const [w, h] = [photo.width * 0.5, photo.height * 0.5];
    const canvas = new OffscreenCanvas(2 * w, 2 * h);
    const c = canvas.getContext('2d')!;
    const bytes = async (): Promise<number[]> => [
      ...new Uint8Array(
        await (await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.9 })).arrayBuffer(),
      ),
    ];
    c.drawImage(photo, w / 2, h / 2, w, h, 0, 0, 2 * w, 2 * h);
    const close = await bytes();
    for (let i = 0; i < 40_000; i++) {
      c.fillStyle = `hsl(${(i * 37) % 360} 60% 40%)`;
      c.fillRect((i * 7919) % (2 * w), (i * 104_729) % (2 * h), 9, 3);
    }
    return [close, await bytes()] as const;
  });
  const file = (name: string, bytes: readonly number[]) => ({
    name,
    mimeType: 'image/jpeg',
    buffer: Buffer.from(bytes),
  });
  const input = section.locator('input[type=file]');
  await input.setInputFiles(file('near.jpg', near));
  await section.getByText('pixels, laid on the main photo').waitFor();
  await input.setInputFiles(file('grass.jpg', grass));
  await section.getByText('not used').waitFor();
  await expectAccessible(page);
  await section.scrollIntoViewIfNeeded();
  await shoot(page, '1-further');
  await section.getByRole('button', { name: 'Take out grass.jpg' }).click();
  await section.getByText('grass.jpg').waitFor({ state: 'detached' });
  expect((await ask<Job>(own, '/api/job')).further).toEqual([{ name: 'near.jpg', backlit: false }]);
  expect(faults).toEqual([]);
  await page.context().close();
});
