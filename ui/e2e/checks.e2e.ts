import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Checking, Copper, Job } from '../src/api/types';
import { expectAccessible, goTo, openBrowser, openPage, shoot } from './browser';
import { crackTracks } from './doubt';
import { Person } from './person';
import { ask, Workplace } from './program';

// Continuity checks, one at a time: made safe first, answered by one key each,
// until the nets are sure enough; taken back; and what can't be reached.

const work = new Workplace();
let browser: Browser;
let address: string;
const job = (): Promise<Job> => ask<Job>(address, '/api/job');
/** A lead as the card says it. */
const said = (place: string): string => place.replace('.', ' lead ');
const checking = (): Promise<Checking> => ask<Checking>(address, '/api/buzz');

beforeAll(async () => {
  address = await work.serve('demo', 'survey');
  browser = await openBrowser();
  const { page } = await openPage(browser);
  await page.goto(address);
  await goTo(page, 'Photographs');
  await crackTracks(page, await ask<Copper>(address, '/api/copper'));
  await page.context().close();
  expect((await checking()).enough).toBe(false);
});

afterAll(async () => {
  await browser?.close();
  await work.close();
});

test('checks are taken by keys alone until the nets are sure enough', async () => {
  const { page, faults } = await openPage(browser);
  await page.goto(address);
  await goTo(page, 'Checks');
  const person = new Person(page, job);
  const card = page.getByRole('region', { name: 'Next check' });
  await card.getByText('Make it safe first').waitFor({ timeout: 60_000 });
  expect(await card.getByRole('button', { name: /beep/i }).count()).toBe(0); // nothing to answer before
  await page.keyboard.press('1');
  expect((await job()).readings).toEqual([]);
  await page.getByText('Safe after').or(card.getByLabel('I have done this')).first().waitFor();
  await card.getByLabel('I have done this').focus();
  await page.keyboard.press('Space');
  await card.getByLabel('What the meter showed').fill('0.2 V');
  await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  const safe = await person.until((j) => !!j.made_safe, 'that it was made safe');
  expect(safe.work.at(-1)).toMatchObject({ did: 'made safe; left over: 0.2 V' });

  await card.getByRole('button', { name: 'It beeps' }).waitFor();
  await expectAccessible(page);
  await page.waitForTimeout(1200);
  await shoot(page, '5-check');
  const first = await checking();
  expect(first.enough).toBe(false);
  await page.getByText('that every net is right').waitFor();

  const settled = page
    .locator('[aria-busy=false]')
    .and(card)
    .or(page.getByRole('region', { name: 'Verdict' }));
  let taken = 0;
  for (; taken < 40; taken++) {
    const { check, enough } = await checking();
    if (enough) break;
    await page.keyboard.press(check?.expect === 'joined' ? '1' : '2');
    await person.until((j) => j.readings.length === taken + 1, `answer ${taken + 1}`);
    await settled.first().waitFor();
  }
  await page.getByRole('heading', { name: 'Enough' }).waitFor();
  await shoot(page, '5-enough');
  await expectAccessible(page);
  expect(taken).toBeGreaterThan(1);
  expect((await checking()).right).toBeGreaterThan(0.999);

  for (let i = 0; i < taken; i++) await page.keyboard.press('Control+z');
  await person.until((j) => j.readings.length === 0, 'all answers taken back');
  expect((await checking()).right).toBeCloseTo(first.right, 9);
  expect(faults).toEqual([]);
  await page.context().close();
});

test('a place beyond reach is not asked about, by touch on a narrow screen', async () => {
  const context = await browser.newContext({ viewport: { width: 412, height: 860 }, hasTouch: true });
  const page = await context.newPage();
  await page.goto(address);
  await goTo(page, 'Checks');
  const card = page.getByRole('region', { name: 'Next check' });
  const { check } = await checking();
  if (!check) throw new Error('the demonstration leaves nothing to check');
  await card.getByRole('button', { name: 'reach red' }).tap();
  await page.getByText('One place is left out as beyond reach').waitFor();
  await expect
    .poll(() => card.locator('dd').first().innerText(), { timeout: 20_000 })
    .not.toBe(said(check.red));
  await page.waitForTimeout(1200);
  await shoot(page, '5-narrow');
  await page.getByRole('button', { name: 'Ask about them again' }).tap();
  await card
    .locator('dd', { hasText: said(check.red) })
    .first()
    .waitFor();
  await context.close();
});
