import { expect, test } from 'vitest';
import { expectAccessible, goTo, openPage, shoot } from './browser';
import { demonstration } from './demo';

// The stages of the circuit beside its drawing.

const demo = demonstration('intercom');

test('a stage is explained, and its parts light up on the drawing', async () => {
  const { page, faults } = await openPage(demo.browser);
  await page.goto(demo.address);
  await goTo(page, 'Drawing');
  await page.locator('g.part[data-ref="Q1"]').first().waitFor({ state: 'attached', timeout: 120_000 });
  const list = page.getByRole('region', { name: 'How it works' });
  const stage = list.getByRole('button', { name: 'common-emitter stage Q1' });
  await stage.click();
  await expect.poll(() => stage.getAttribute('aria-pressed')).toBe('true');
  const lit = page.locator('g.part.in-stage');
  const refs = await lit.evaluateAll((all) => all.map((g) => g.getAttribute('data-ref') ?? ''));
  expect(refs).toEqual(expect.arrayContaining(['Q1', 'R2', 'R3', 'R4', 'R5', 'C2', 'C3']));
  expect(refs).not.toContain('Q2');
  expect(await list.textContent()).toContain('fed by the common-emitter stage Q1');
  await stage.scrollIntoViewIfNeeded();
  await shoot(page, '10-stages');
  await expectAccessible(page);
  await stage.click();
  await expect.poll(() => lit.count()).toBe(0);
  expect(faults).toEqual([]);
});
