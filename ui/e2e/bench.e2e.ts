import type { Browser, CDPSession, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Brushed, Copper, Job } from '../src/api/types';
import { expectAccessible, goTo, openBrowser, openPage, shoot } from './browser';
import { crackTracks } from './doubt';
import { Person } from './person';
import { ask, Workplace } from './program';

// What a person does to the copper and to the pairs beside the story: doubtful
// places walked by keys, the brush and the eraser, a net looked at closely, the
// loupe, work that is stopped, and all of it by touch.

const work = new Workplace();
let browser: Browser;
let address: string;
const job = (): Promise<Job> => ask<Job>(address, '/api/job');

beforeAll(async () => {
  address = await work.serve('demo', 'survey');
  browser = await openBrowser();
  await ask<Copper>(address, '/api/copper');
});

afterAll(async () => {
  await browser?.close();
  await work.close();
});

/** The copper page of the demonstration, its nets painted. */
async function copperPage(size?: { width: number; height: number }) {
  const opened = await openPage(browser, size);
  await opened.page.goto(address);
  await goTo(opened.page, 'Copper');
  await opened.page.getByRole('heading', { name: 'Nets', exact: true }).waitFor({ timeout: 60_000 });
  return { ...opened, person: new Person(opened.page, job) };
}

test('doubtful places are walked with one key, and each answer is evidence', async () => {
  const { page, faults, person } = await copperPage();
  await crackTracks(page, await ask<Copper>(address, '/api/copper'));
  const card = page.getByRole('region', { name: 'Doubtful places' });
  const before = await ask<Copper>(address, '/api/copper');
  // The page hears of the cracked photo by itself: its list must be there before a key can walk it.
  await card.getByText(`${before.doubtful.length} places are in doubt`).waitFor();
  await page.keyboard.press('n');
  await card.getByText(`Place 1 of ${before.doubtful.length}`).waitFor();
  await expectAccessible(page);
  await page.waitForTimeout(600);
  await shoot(page, '3-walk');

  await page.keyboard.press('3'); // put off: the next one comes first
  await card.getByText('1 put off').waitFor();
  await page.keyboard.press('2');
  const cut = await person.until((j) => j.cuts.length === 1, 'the answer as a cut');
  expect(cut.undo).toBe('Say that a doubtful place is not joined');
  await page.locator('[aria-busy=false]').filter({ hasText: 'Doubtful places' }).waitFor();
  await page.keyboard.press('1');
  await person.until((j) => j.joins.length === 1, 'the answer as a join');
  const after = await ask<Copper>(address, '/api/copper');
  expect(after.doubtful.length).toBeLessThan(before.doubtful.length);

  await page.keyboard.press('Control+z'); // one of them again
  await person.until((j) => j.joins.length === 0, 'the join taken back');
  await page.locator('[aria-busy=false]').filter({ hasText: 'Doubtful places' }).waitFor();
  await page.keyboard.press('n');
  await page.keyboard.press('4');
  await card.getByText('Before a continuity check').waitFor();
  await page.waitForTimeout(600);
  await shoot(page, '3-measure');
  await page.keyboard.press('1');
  const measured = await person.until((j) => j.readings.some((r) => r.mode === 'continuity'), 'the check');
  expect(measured.readings.at(-1)).toMatchObject({ mode: 'continuity', value: 'joined' });
  for (let i = 0; i < 2; i++) await page.keyboard.press('Control+z');
  await person.until(
    (j) => j.cuts.length + j.joins.length === 0 && j.readings.length === 0,
    'all taken back',
  );
  expect((await ask<Copper>(address, '/api/copper')).doubtful).toEqual(before.doubtful);
  await page.keyboard.press('Control+z'); // the photo without cracks
  await person.until((j) => j.photos.every((p) => p.name !== 'cracked.jpg'), 'the photo as it was');
  expect(faults).toEqual([]);
  await page.context().close();
});

test('the brush adds copper, takes it away, and the eraser takes the stroke', async () => {
  const { page, person } = await copperPage();
  await page.keyboard.press('p');
  await person.drag('foil', [700, 900], [900, 980]);
  await person.until((j) => j.brushed.length === 1 && j.brushed[0]!.copper, 'a stroke of copper');
  await page.keyboard.press('o');
  for (let i = 0; i < 3; i++) await page.keyboard.press(']');
  await person.click('foil', [800, 940]);
  const two = await person.until((j) => j.brushed.length === 2, 'a dab of bare');
  expect(two.brushed[1]).toMatchObject({ copper: false });
  expect(two.brushed[1]!.width).toBeGreaterThan(two.brushed[0]!.width);
  await page.waitForTimeout(1500);
  await shoot(page, '3-brush');
  await expectAccessible(page);
  await page.keyboard.press('e');
  await person.click('foil', [800, 940]);
  await person.until((j) => j.brushed.length === 1 && j.brushed[0]!.copper, 'the dab rubbed out');
  await page.keyboard.press('Control+z');
  await person.until((j) => j.brushed.length === 2, 'the dab again');
  for (let i = 0; i < 2; i++) await page.keyboard.press('Control+z');
  await person.until((j) => j.brushed.length === 0, 'nothing brushed');
  await page.context().close();
});

test('a stroke is drawn with keys alone', async () => {
  const { page, person } = await copperPage();
  await page.keyboard.press('p');
  await person.plate('foil').focus();
  for (const key of ['ArrowRight', ' ', 'ArrowRight', 'ArrowRight', 'ArrowDown', 'ArrowDown', ' '])
    await page.keyboard.press(key);
  const { brushed } = await person.until((j) => j.brushed.length === 1, 'a stroke');
  expect(brushed[0]!.path.length).toBe(3); // along, and down round a corner
  await page.keyboard.press('Control+z');
  await person.until((j) => j.brushed.length === 0, 'the stroke taken back');
  await page.context().close();
});

test('a net shows its joints, its doubtful places and how near its neighbours come', async () => {
  const { page } = await copperPage();
  await page.getByRole('button', { name: 'regulated', exact: true }).click();
  const card = page.getByRole('region', { name: 'Net regulated' });
  await card.getByText('nearest').waitFor({ timeout: 20_000 });
  expect(await card.getByRole('button', { name: /^[RCQD]\d+\./ }).count()).toBeGreaterThan(2);
  expect(await card.innerText()).toMatch(/\d\.\d\d\smm wide/);
  expect(await card.innerText()).toMatch(/\d\.\d\d\smm, nearest/);
  await expectAccessible(page);
  await page.waitForTimeout(800);
  await shoot(page, '3-net');
  await card
    .getByTitle(/comes nearest/)
    .first()
    .click();
  await page.waitForTimeout(800);
  await shoot(page, '3-spacing');
  await page.context().close();
});

test('a pair is set in the loupe by pixels and tenths', async () => {
  const { page } = await openPage(browser);
  await page.goto(address);
  await goTo(page, 'Faces');
  const person = new Person(page, job);
  const was = (await job()).pairs[2]!;
  await page.getByTitle('Show it on both sides, and in the loupe').nth(4).click(); // the third pair's
  await page.locator('[data-loupe="component"]').focus();
  for (const key of ['ArrowRight', 'ArrowRight', 'Shift+ArrowDown']) await page.keyboard.press(key);
  await shoot(page, '2-loupe');
  await expectAccessible(page);
  await page.keyboard.press('Enter');
  const moved = await person.until((j) => j.pairs[2]!.component[0] !== was.component[0], 'the pair moved');
  expect(moved.pairs[2]!.component[0]).toBeCloseTo(was.component[0] + 2, 6);
  expect(moved.pairs[2]!.component[1]).toBeCloseTo(was.component[1] + 0.1, 6);
  expect(moved.pairs[2]!.foil).toEqual(was.foil);
  await page.keyboard.press('Control+z');
  await person.until((j) => j.pairs[2]!.component[0] === was.component[0], 'the pair as it was');

  // A first click, the guess on the other face, and Enter in the loupe.
  await person.plate('foil').press('0'); // the whole photo again
  await person.click('foil', [1000, 700]);
  await page.locator('[data-loupe="component"]').focus();
  await page.keyboard.press('Enter');
  const { pairs } = await person.until((j) => j.pairs.length === 9, 'a pair by its guess');
  expect(pairs[8]!.foil[0]).toBeCloseTo(1000, -1);
  await page.getByTitle('Take back: Add a point pair').waitFor();
  await page.keyboard.press('Control+z');
  await person.until((j) => j.pairs.length === 8, 'the pair taken back');
  await page.context().close();
});

test('long work shows how far it is, is stopped, and goes on', async () => {
  const own = await work.serve('demo', 'survey', '-o', 'slow.foilside');
  const { page } = await openPage(browser);
  // As on a large photo: the bench is given a while for its first answer.
  let held: (() => void)[] = [];
  await page.route('**/api/copper', async (route) => {
    await new Promise<void>((go) => held.push(go));
    await route.continue().catch(() => undefined); // it may have been given up meanwhile
  });
  await page.goto(own);
  await goTo(page, 'Copper');
  // The faces may still be laid over each other: Cancel would stop that alone.
  await page.getByRole('progressbar', { name: 'Tracing the copper' }).waitFor();
  await page.getByRole('button', { name: 'Cancel' }).click();
  await page.getByText('Stopped. What the page shows may be older than the job.').waitFor();
  await shoot(page, '3-stopped');
  await expectAccessible(page);
  await page.unroute('**/api/copper');
  held.forEach((go) => go());
  held = [];
  await page.getByRole('button', { name: 'Go on' }).first().click();
  await page.getByRole('heading', { name: 'Nets', exact: true }).waitFor({ timeout: 60_000 });
  await page.context().close();
});

/** Fingers on a touch screen. */
class Fingers {
  constructor(private readonly session: CDPSession) {}

  private send(type: 'touchStart' | 'touchMove' | 'touchEnd', points: readonly [number, number][]) {
    const touchPoints = points.map(([x, y], id) => ({ x, y, id }));
    return this.session.send('Input.dispatchTouchEvent', { type, touchPoints });
  }

  async drag(paths: (t: number) => [number, number][]): Promise<void> {
    const first = paths(0);
    // One finger comes down after the other, as on a real screen.
    for (let i = 1; i <= first.length; i++) await this.send('touchStart', first.slice(0, i));
    for (let i = 1; i <= 12; i++) await this.send('touchMove', paths(i / 12));
    await this.send('touchEnd', []);
  }
}

test('by touch, one finger draws or moves the photo, two bring it closer', async () => {
  const context = await browser.newContext({ viewport: { width: 412, height: 860 }, hasTouch: true });
  const page: Page = await context.newPage();
  await page.goto(address);
  await goTo(page, 'Copper');
  await page.getByRole('heading', { name: 'Nets', exact: true }).waitFor({ timeout: 60_000 });
  const person = new Person(page, job);
  const fingers = new Fingers(await context.newCDPSession(page));
  const brush = page.getByRole('button', { name: 'Brush copper' });
  const box = (await (async () => (await person.plate('foil').scrollIntoViewIfNeeded(), person.plate('foil').boundingBox()))())!; // prettier-ignore
  const [cx, cy] = [box.x + box.width / 2, box.y + box.height / 2];
  let strokes: readonly Brushed[] = [];
  const dab = async (x: number, y: number): Promise<Brushed> => {
    await page.touchscreen.tap(x, y);
    strokes = (await person.until((j) => j.brushed.length === strokes.length + 1, 'a dab')).brushed;
    return strokes.at(-1)!;
  };
  await brush.tap();
  const scale = async (): Promise<number> => {
    const [a, b] = [await dab(cx - 50, cy), await dab(cx + 50, cy)];
    return (b.path[0]![0] - a.path[0]![0]) / 100;
  };
  const far = await scale();

  // Two fingers with the brush in hand: closer, and nothing drawn.
  await fingers.drag((t) => [[cx - 40 - 50 * t, cy], [cx + 40 + 50 * t, cy]]); // prettier-ignore
  await page.waitForTimeout(800);
  expect((await job()).brushed.length).toBe(2);
  const close = await scale();
  expect(far / close).toBeGreaterThan(1.5);
  await shoot(page, '3-touch');

  // One finger with the brush draws, with nothing in hand moves the photo.
  await fingers.drag((t) => [[cx - 60 + 100 * t, cy + 30]]);
  strokes = (await person.until((j) => j.brushed.length === 5, 'a stroke')).brushed;
  expect(strokes.at(-1)!.path.length).toBeGreaterThan(1);
  const before = await dab(cx, cy);
  await page.getByRole('button', { name: 'Look' }).tap();
  await fingers.drag((t) => [[cx, cy + 60 * t]]);
  await page.waitForTimeout(800);
  await brush.tap();
  const after = await dab(cx, cy);
  expect((before.path[0]![1] - after.path[0]![1]) / close).toBeGreaterThan(30);
  for (let i = strokes.length; i > 0; i--) {
    await page.getByRole('button', { name: 'Undo' }).tap();
    await person.until((j) => j.brushed.length === i - 1, 'a stroke taken back');
  }
  await context.close();
});
