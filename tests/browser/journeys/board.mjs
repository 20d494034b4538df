// @ts-check
/** The plan board: a card is dragged, carried with the keys, and moved by its form where no script runs. */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { DESK, PHONE } from '../demo.mjs';
import { signIn } from './hand.mjs';

export const title = 'The plan board';

/** @type {import('../run.mjs').Way[]} */
export const ways = [
  { name: 'with scripts', size: DESK, javascript: true },
  { name: 'without scripts', size: PHONE, javascript: false },
];

/** A week that nothing else is planned in: Monday to Wednesday. */
const WEEK = '2027-W20';
const [MONDAY, TUESDAY, WEDNESDAY] = ['2027-05-17', '2027-05-18', '2027-05-19'];

/** @param {import('../run.mjs').Given} given */
export async function run({ browser, base, signIns, javascript, size }) {
  const context = await browser.newContext({ viewport: size, javaScriptEnabled: javascript });
  const page = await context.newPage();
  await signIn(page, base, signIns.manager);
  await page.goto(`${base}/board?week=${WEEK}`);
  await checkPage(page);
  const words = javascript ? await byHand(page) : await byForm(page, base);
  await context.close();
  return words;
}

/** @param {import('playwright-core').Page} page */
async function byHand(page) {
  const undated = page.locator('.board__loose [data-card]').first();
  const id = await undated.getAttribute('id');
  const card = page.locator(`[id="${id}"]`);
  const cellOf = (/** @type {string} */ day) => page.locator(`[data-cell][data-day="${day}"]`, { has: card });
  const cells = page.locator(`[data-cell][data-day="${MONDAY}"]`);
  await undated.dragTo(cells.first());
  await page.waitForURL(/done=moved/);
  assert.equal(await cellOf(MONDAY).count(), 1, 'dropped where it was let go');
  await page.waitForFunction((moved) => document.activeElement?.closest('[data-card]')?.id === moved, id);
  await checkPage(page);

  await card.locator('a').focus();
  await page.keyboard.press('Space');
  await page.keyboard.press('ArrowRight');
  assert.match(await page.locator('[data-board-words]').innerText(), /Tuesday 18 May/);
  await page.keyboard.press('Escape');
  assert.equal(await page.locator('[data-target]').count(), 0);
  await page.keyboard.press('Space');
  for (const key of ['ArrowRight', 'ArrowDown', 'Enter']) await page.keyboard.press(key);
  await cellOf(TUESDAY).waitFor();
  assert.equal(await cellOf(MONDAY).count(), 0, 'carried a day on');
  return 'dragged and carried';
}

/** @param {import('playwright-core').Page} page @param {string} base */
async function byForm(page, base) {
  await page.locator('.board-narrow .links__link').first().click();
  const stale = page.url();
  await page.fill('#day', WEDNESDAY);
  await page.fill('#hours', '9');
  await page.click('text=Plan it so');
  await page.goto(`${base}/board?week=${WEEK}`);
  assert.ok(await page.getByText('a day has 8 h').count() >= 1, 'too much is said in words');
  await checkPage(page);
  // Somebody else moves it while the form is open.
  await page.goto(stale);
  const other = await page.context().newPage();
  await other.goto(stale);
  await other.fill('#day', TUESDAY);
  await other.click('text=Plan it so');
  await page.fill('#day', MONDAY);
  await page.click('text=Plan it so');
  assert.match(await page.locator('.errors').innerText(), /moved meanwhile/);
  assert.equal(await page.inputValue('#day'), MONDAY, 'what was typed stays');
  await checkPage(page);
  await page.click('text=Plan it so');
  await page.waitForURL(/done=moved/);
  return 'moved by its form';
}
