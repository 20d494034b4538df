// @ts-check
/**
 * A good job reviewed as a whole without a hand on the mouse: every measurement, the photos side by side, the
 * plan, the release, and on to the next job. Ticks and a begun remark outlive the opening of other steps.
 */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { DESK } from '../demo.mjs';
import { signIn } from './hand.mjs';

export const title = 'Reviewing by keys';

/** @type {import('../run.mjs').Way[]} */
export const ways = [{ name: 'desk with scripts', size: DESK, javascript: true }];

/** @typedef {import('playwright-core').Page} Page */

/** Opens the next step by its key and waits until it stands beside the list. @param {Page} page */
async function next(page) {
  const before = await page.locator('#entry-title').textContent();
  await page.keyboard.press('j');
  const row = page.locator('tr[aria-selected="true"] th a');
  const words = await row.textContent();
  assert.notEqual(words, before, 'J goes on to another step');
  await page.locator('#entry-title', { hasText: words ?? '' }).waitFor();
  assert.equal(await row.evaluate((link) => link === document.activeElement), true);
}

/** Ticks and remark stay while steps are opened; where the keys are off nothing happens. @param {Page} page */
async function keepTicks(page) {
  const ticks = page.locator('tr[data-row] [name="step"]:checked');
  await page.keyboard.press('x');
  assert.equal(await ticks.count(), 1);
  await page.locator('#remark').fill('Tighten j and k');
  await page.locator('tr[data-row] th a').first().click();
  await next(page);
  assert.equal(await ticks.count(), 1);
  assert.equal(await page.locator('#remark').inputValue(), 'Tighten j and k');
  await ticks.first().uncheck();
  await page.locator('#remark').fill('');

  await page.getByRole('button', { name: 'Keys off' }).click();
  const address = page.url();
  await page.locator('tr[data-row] th a').first().focus();
  await page.keyboard.press('j');
  assert.equal(page.url(), address);
  await page.getByRole('button', { name: 'Keys off' }).click();
}

/** @param {import('../run.mjs').Given} given */
export async function run({ browser, base, signIns, size }) {
  const context = await browser.newContext({ viewport: size });
  const page = await context.newPage();
  await signIn(page, base, signIns.manager);
  await page.locator('[aria-labelledby="g-review"] a', { hasText: 'PF 23 WLD' }).click();
  await page.locator('.keys').waitFor();
  const began = Date.now();
  await checkPage(page);
  const steps = await page.locator('tr[data-row]').count();
  await page.locator('tr[data-row] th a').first().click();
  for (let step = 1; step < steps; step += 1) await next(page);
  assert.equal(await page.locator('tr[aria-selected="true"]').getAttribute('data-row'),
    await page.locator('tr[data-row]').last().getAttribute('data-row'));
  await keepTicks(page);

  await page.getByRole('link', { name: /^Photos/ }).click();
  const photos = page.locator('.photos img');
  assert.ok(await photos.count() >= 6);
  const [first, second] = [await photos.nth(0).boundingBox(), await photos.nth(1).boundingBox()];
  assert.ok(first && second && Math.abs(first.y - second.y) < 60 && second.x > first.x + 200, 'photos stand side by side');
  await checkPage(page);
  await page.getByRole('link', { name: /^Plan/ }).last().click();
  await page.getByText('Voltage drop, out and back').first().waitFor();
  await checkPage(page);

  await page.keyboard.press('d');
  assert.equal(await page.locator('#name').evaluate((field) => field === document.activeElement), true);
  await page.keyboard.press('Enter');
  await page.getByRole('link', { name: /^Open certificate/ }).waitFor();
  const took = Math.round((Date.now() - began) / 1000);
  await page.getByRole('link', { name: /^Next for review: job/ }).click();
  await page.getByText('No certificate yet.').waitFor();
  await context.close();
  return `${steps} measurements, photos, plan and release in ${took} s of pages`;
}
