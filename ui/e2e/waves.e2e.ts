import { expect, test } from 'vitest';
import { expectAccessible, goTo, openPage, shoot } from './browser';
import { demonstration } from './demo';

// Waveforms on the bench: followed once, zoomed by wheel and keys, read by cursors.

const demo = demonstration('intercom');

test('the unit is followed over time, and its waveforms are zoomed and read', async () => {
  const { page, faults } = await openPage(demo.browser);
  await page.goto(demo.address);
  await goTo(page, 'Waveforms');
  for (const net of ['collector1', 'emitter1'])
    await page.getByRole('button', { name: net, exact: true }).click();
  await page.getByLabel('For how long, with its unit').fill('2 s');
  await page.getByLabel('from its operating point').uncheck();
  await page.getByRole('button', { name: 'Follow' }).click();
  const chart = page.getByRole('application', { name: 'Waveforms' });
  await chart.waitFor();
  expect(await chart.locator('path.trace').count()).toBe(2);
  const marks = async (): Promise<string[]> => chart.locator('text[text-anchor=middle]').allTextContents();
  expect(await marks()).toContain('2 s');

  await chart.focus();
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('Shift+ArrowLeft');
  const cursors = page.getByRole('table', { name: 'At the cursors' });
  await cursors.getByText(/^A 1\.01 s$/).waitFor();
  await cursors.getByText(/^B 990 ms$/).waitFor();
  expect(await cursors.getByRole('row', { name: /^emitter1/ }).innerText()).toMatch(
    /emitter1\s+[1-9]\S* m?V/,
  );
  await page.keyboard.press('+');
  await expect.poll(marks).not.toContain('2 s');
  await expectAccessible(page);
  await page.waitForTimeout(800);
  await shoot(page, '8-waveforms');

  await cursors.getByRole('button', { name: 'collector1' }).click();
  await page.locator('svg path.wire.lit').first().waitFor({ state: 'attached' });
  await chart.hover({ position: { x: 300, y: 60 } });
  for (let i = 0; i < 20; i++) await page.mouse.wheel(0, 400);
  await expect.poll(marks).toContain('2 s');
  await page.getByLabel('For how long, with its unit').fill('soon');
  await page.getByRole('button', { name: 'Follow' }).click();
  await page.getByRole('alert').waitFor();
  expect(faults.filter((f) => !f.includes('422') && !f.includes('400'))).toEqual([]);
  await page.context().close();
});
