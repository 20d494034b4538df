// @ts-check
/**
 * A plan that says stop is mended by trying: the smallest change is typed in at a press, a changed figure
 * shows its findings, a slip keeps what was typed, and nothing of it is saved.
 */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { DESK, PHONE } from '../demo.mjs';
import { signIn } from './hand.mjs';

export const title = 'Trying changes of a plan';

/** @type {import('../run.mjs').Way[]} */
export const ways = [
  { name: 'phone with scripts', size: PHONE, javascript: true },
  { name: 'desk without scripts', size: DESK, javascript: false },
];

/** @typedef {import('playwright-core').Page} Page */

/** How many findings say stop, as the bar below the form tells. @param {Page} page */
async function stops(page) {
  const words = await page.locator('[data-part="counts"]').textContent();
  return Number(/(\d+) stop/.exec(words ?? '')?.[1] ?? 0);
}

/** Presses what works a changed figure out; with scripts the change itself did. @param {Page} page @param {boolean} javascript */
async function workOut(page, javascript) {
  if (!javascript) await page.getByRole('button', { name: 'Work out only' }).click();
}

/** @param {import('../run.mjs').Given} given */
export async function run({ browser, base, signIns, javascript, size }) {
  const context = await browser.newContext({ viewport: size, javaScriptEnabled: javascript });
  const page = await context.newPage();
  await signIn(page, base, signIns.manager);
  const row = page.locator('a[href^="/jobs/"]', { hasText: 'VE 18 TRM' }).first();
  const plan = `${base}${await row.getAttribute('href')}/plan`;
  await page.goto(plan);
  const before = await stops(page);
  assert.ok(before > 1, 'the demo has a plan that says stop');

  const drop = page.locator('[id="supply.drop"].finding');
  const size0 = await page.locator('[name="circuits.supply.cable"]').inputValue();
  await drop.getByRole('button', { name: 'Try it' }).click();
  await drop.waitFor({ state: 'detached' }).catch(() => assert.fail('the drop is not mended'));
  const now = await stops(page);
  assert.ok(now < before, `${now} of ${before} stops are left`);
  assert.notEqual(await page.locator('[name="circuits.supply.cable"]').inputValue(), size0);
  await page.getByText('Nothing is saved yet.').waitFor();

  await page.locator('[name="mounting.removable"]').selectOption('false');
  await workOut(page, javascript);
  await page.locator('[id="mount.panel"].finding').waitFor({ state: 'detached' });
  assert.equal(await stops(page), now - 1);
  await checkPage(page);

  await page.locator('[name="circuits.solar.length_out_m"]').fill('3,2 m');
  await page.locator('[name="circuits.solar.length_out_m"]').blur();
  await workOut(page, javascript);
  await page.getByText('is not a number').first().waitFor();
  await checkPage(page);
  assert.equal(await page.locator('[name="circuits.solar.length_out_m"]').inputValue(), '3,2 m');

  await page.goto(plan);
  assert.equal(await stops(page), before, 'nothing was saved');
  await context.close();
  return `${before} stops, ${now} after one press`;
}
