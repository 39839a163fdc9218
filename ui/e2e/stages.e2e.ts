import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { expectAccessible, goTo, openBrowser, openPage, shoot } from './browser';
import { Workplace } from './program';

// The stages of the circuit beside its drawing.

const work = new Workplace();
let browser: Browser;
let address: string;

beforeAll(async () => {
  address = await work.serve('demo', 'intercom');
  browser = await openBrowser();
});

afterAll(async () => {
  await browser?.close();
  await work.close();
});

test('a stage is explained, and its parts light up on the drawing', async () => {
  const { page, faults } = await openPage(browser);
  await page.goto(address);
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
