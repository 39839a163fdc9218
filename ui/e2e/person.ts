import type { Locator, Page } from 'playwright-core';
import type { Job, Part, Place } from '../src/api/types';

type Face = 'component' | 'foil';
type Pixel = readonly [number, number];

/** Room that a plate leaves around its photo, in page pixels. */
const padding = 8;

/** A person at the page: clicks photo pixels, fills in forms. */
export class Person {
  constructor(
    private readonly page: Page,
    private readonly job: () => Promise<Job>,
  ) {}

  plate(face: Face): Locator {
    return this.page.locator(`[data-face="${face}"]`);
  }

  /** Where a photo pixel stands on the page while the whole photo is shown. */
  async onPage(face: Face, at: Pixel): Promise<Pixel> {
    const photo = (await this.job()).photos.find((p) => p.side === face);
    const plate = this.plate(face);
    await plate.scrollIntoViewIfNeeded();
    const box = await plate.boundingBox();
    if (!photo || !box) throw new Error(`the ${face} side is not on the page`);
    const scale = Math.min(
      (box.width - 2 * padding) / photo.width,
      (box.height - 2 * padding) / photo.height,
    );
    const x = box.x + box.width / 2 + (at[0] - (photo.width - 1) / 2) * scale;
    const y = box.y + box.height / 2 + (at[1] - (photo.height - 1) / 2) * scale;
    return [x, y];
  }

  async point(face: Face, at: Pixel): Promise<void> {
    const [x, y] = await this.onPage(face, at);
    await this.page.mouse.move(x, y);
  }

  async click(face: Face, at: Pixel): Promise<void> {
    const [x, y] = await this.onPage(face, at);
    await this.page.mouse.click(x, y);
  }

  async drag(face: Face, from: Pixel, to: Pixel): Promise<void> {
    const [x0, y0] = await this.onPage(face, from);
    const [x1, y1] = await this.onPage(face, to);
    await this.page.mouse.move(x0, y0);
    await this.page.mouse.down();
    await this.page.mouse.move((x0 + x1) / 2, (y0 + y1) / 2);
    await this.page.mouse.move(x1, y1);
    await this.page.mouse.up();
  }

  /** Waits until the job on the bench is as wanted. */
  async until(wanted: (job: Job) => boolean, what: string): Promise<Job> {
    for (let i = 0; i < 400; i++) {
      const job = await this.job();
      if (wanted(job)) return job;
      await this.page.waitForTimeout(50);
    }
    const said = await this.page.getByRole('alert').allInnerTexts();
    throw new Error(`the job never had ${what}; the page says: ${said.join(' / ')}`);
  }

  /** Describes a part in the form, its leads by text or, asked for, by clicks on the photo. */
  async place(part: Part, byClick = false): Promise<void> {
    const { page } = this;
    await page.getByRole('combobox', { name: 'Kind of part' }).selectOption(part.kind);
    await page.getByRole('button', { name: 'Place it' }).click();
    const form = page.getByRole('form', { name: 'Part' });
    await form.getByLabel('Reference').fill(part.ref);
    if (part.type) await form.getByLabel('Type number').fill(part.type);
    await this.describe(form, part);
    for (const lead of part.leads) {
      if (byClick && lead.place.at) await this.click('component', lead.place.at);
      else await form.locator(`[id="lead-${lead.name}"]`).fill(placeText(lead.place));
      if (!byClick) await form.locator(`[id="lead-${lead.name}"]`).press('Tab');
    }
    await form.getByRole('button', { name: 'Add the part' }).click();
    await this.until((j) => j.parts.some((p) => p.ref === part.ref), part.ref);
  }

  private async describe(form: Locator, part: Part): Promise<void> {
    const more = form.getByText('More about it');
    if (await more.count()) await more.click();
    for (const p of part.params) {
      const field = form.getByLabel(capital(p.name), { exact: true });
      if ((await field.evaluate((e) => e.tagName)) === 'SELECT') await field.selectOption(p.text);
      else await field.fill(p.text);
    }
    for (const [i, w] of (part.windings ?? []).entries()) {
      const fields = form.locator('.winding').nth(i);
      await fields.getByLabel('Winding').fill(w.name);
      await fields.getByLabel('Turns').fill(w.turns);
      await fields.getByLabel('Resistance').fill(w.resistance ?? '');
      await fields.getByLabel('Inductance').fill(w.inductance ?? '');
    }
  }
}

const capital = (s: string): string => s.charAt(0).toUpperCase() + s.slice(1);

export function placeText(place: Place): string {
  if (place.at) return `${place.at[0]}, ${place.at[1]}`;
  if (place.joint) return `joint ${place.joint[0]}, ${place.joint[1]}`;
  return place.net ?? '';
}
