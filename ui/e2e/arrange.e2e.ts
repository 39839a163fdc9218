import { expect, test } from 'vitest';
import type { Job } from '../src/api/types';
import { expectAccessible, goTo, openPage, shoot } from './browser';
import { demonstration } from './demo';
import { ask } from './program';

// A hand on the drawing, with keys and with the pointer; all can be undone.

const demo = demonstration('intercom');

const undoWord = async (): Promise<string> => (await ask<Job>(demo.address, '/api/job')).undo;

test('parts are carried, turned and pinned with keys, and dragged with the pointer', async () => {
  const { page, faults } = await openPage(demo.browser);
  await page.goto(demo.address);
  await goTo(page, 'Drawing');
  const part = (ref: string) => page.locator(`g.part[data-ref="${ref}"]`).first();
  await part('C1').waitFor({ state: 'attached', timeout: 120_000 });
  await page.getByRole('button', { name: 'Arrange' }).click();
  const refs = await page
    .locator('g.part')
    .evaluateAll((all) => all.map((g) => g.getAttribute('data-ref') ?? ''));

  await part('C1').focus();
  for (const key of ['ArrowRight', 'Shift+ArrowRight', 'Enter']) await page.keyboard.press(key);
  await page.waitForFunction(() => document.querySelector('g.part[data-ref="C1"][data-pinned]') !== null);
  expect(await undoWord()).toBe('Move C1 on the drawing');
  expect(await page.evaluate(() => document.activeElement?.getAttribute('data-ref'))).toBe('C1');

  await page.keyboard.press('m');
  await expect.poll(undoWord).toBe('Mirror C1 on the drawing');
  await shoot(page, '9-arrange');
  await expectAccessible(page);

  const other = refs.find((r) => r.startsWith('R')) ?? 'R1';
  const box = await part(other).boundingBox();
  if (!box) throw new Error('no box');
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + 60, y + 40, { steps: 4 });
  await page.mouse.up();
  await expect.poll(undoWord).toBe(`Move ${other} on the drawing`);

  await page.keyboard.press('Control+z');
  await expect.poll(undoWord).toBe('Mirror C1 on the drawing');
  await page.getByRole('button', { name: 'Test points' }).click();
  await page.locator('g.testpoint').first().waitFor({ state: 'attached' });
  await shoot(page, '9-test-points');
  const pdf = await page.evaluate(async () => {
    const link = document.querySelector<HTMLAnchorElement>('a[download="drawing.pdf"]');
    return link ? (await (await fetch(link.href)).text()).slice(0, 4) : '';
  });
  expect(pdf).toBe('%PDF');
  await page.getByRole('button', { name: 'Place all anew' }).click();
  await page.waitForFunction(() => document.querySelector('g.part[data-pinned]') === null);
  expect(faults).toEqual([]);
  await page.context().close();
});
