import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';
import { expect } from 'vitest';

const shots = join(import.meta.dirname, 'shots');
const axeSource = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** Chromium as Debian installs it, or the one named by CHROMIUM. */
function chromiumPath(): string {
  const known = [
    process.env['CHROMIUM'],
    '/usr/bin/chromium',
    '/usr/bin/chromium-browser',
    '/usr/bin/google-chrome',
  ];
  const found = known.find((p) => p && existsSync(p));
  if (!found) throw new Error('no Chromium found; install the package chromium, or name it in CHROMIUM');
  return found;
}

export function openBrowser(): Promise<Browser> {
  // Debian's Chromium as root (a container) needs its sandbox off.
  const args = process.getuid?.() === 0 ? ['--no-sandbox'] : [];
  return chromium.launch({ executablePath: chromiumPath(), args });
}

/** A page that notes whatever goes wrong in it, and every request that would leave the machine. */
export async function openPage(
  browser: Browser,
  size = { width: 1440, height: 900 },
): Promise<{ page: Page; faults: string[] }> {
  const context = await browser.newContext({ viewport: size, acceptDownloads: true });
  context.setDefaultTimeout(90_000); // a busy machine of two cores traces copper slowly
  const page = await context.newPage();
  const faults: string[] = [];
  page.on('pageerror', (e) => faults.push(e.message));
  page.on('console', (m) => {
    // 409: a result that an earlier step is still missing for; the page says so in words.
    if (m.type() === 'error' && !m.text().includes('status of 409')) faults.push(m.text());
  });
  page.on('request', (r) => {
    const { protocol, hostname } = new URL(r.url());
    if (protocol.startsWith('http') && hostname !== '127.0.0.1') faults.push(`asked ${hostname}`);
  });
  return { page, faults };
}

export async function shoot(page: Page, name: string): Promise<void> {
  mkdirSync(shots, { recursive: true });
  await page.screenshot({ path: join(shots, `${name}.png`) });
}

/** No violation of the accessibility rules that a program can check. */
export async function expectAccessible(page: Page): Promise<void> {
  await page.evaluate(axeSource); // a script tag would be stopped by the page's content policy
  const violations = await page.evaluate(async () => {
    const axe = (globalThis as unknown as { axe: { run(): Promise<{ violations: AxeViolation[] }> } }).axe;
    const { violations: all } = await axe.run();
    return all.map((v) => `${v.id}: ${v.nodes.map((n) => n.target.join(' ')).join(', ')}`);
  });
  expect(violations).toEqual([]);
}

interface AxeViolation {
  id: string;
  nodes: { target: string[] }[];
}

/** Goes to a page of the manual by its entry in the contents. */
export async function goTo(page: Page, title: string): Promise<void> {
  await page.getByRole('navigation', { name: 'Contents' }).getByRole('link', { name: title }).click();
  await page.getByRole('heading', { level: 1, name: title }).waitFor();
}
