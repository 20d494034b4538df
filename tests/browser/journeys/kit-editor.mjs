// @ts-check
/**
 * A kit's next edition is written in the page: a slip is told with its line, the text stays as a draft when the page
 * is left, and what is saved is compared with the edition before.
 */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { DESK, PHONE } from '../demo.mjs';
import { signIn } from './hand.mjs';

export const title = 'Writing the next edition of a kit';

/** @type {import('../run.mjs').Way[]} */
export const ways = [
  { name: 'desk with scripts', size: DESK, javascript: true },
  { name: 'phone without scripts', size: PHONE, javascript: false },
];

/** @param {import('../run.mjs').Given} given */
export async function run({ browser, base, signIns, javascript, size }) {
  const context = await browser.newContext({ viewport: size, javaScriptEnabled: javascript });
  const page = await context.newPage();
  await signIn(page, base, signIns.manager);
  await page.goto(`${base}/kits`);
  await page.locator('th a', { hasText: '24 V' }).first().click();
  await page.getByRole('link', { name: 'Edit as the next edition' }).click();
  const field = page.locator('#text');
  const text = await field.inputValue();
  const edition = Number(/^edition = (\d+)$/m.exec(text)?.[1]);
  const typed = async (/** @type {string} */ words) => {
    await field.fill(words);
    if (!javascript) await page.getByRole('button', { name: 'Check' }).click();
  };

  await typed(text.replace(/^mass_kg = .*$/m, 'mass_kg = "heavy"'));
  const slip = page.locator('[data-line]');
  await slip.waitFor();
  await checkPage(page);
  if (javascript) {
    await slip.click();
    const picked = await field.evaluate((area) => area instanceof HTMLTextAreaElement
      && area.value.slice(area.selectionStart, area.selectionEnd));
    assert.equal(picked, 'mass_kg = "heavy"', 'the fault leads to its line');
  }
  await page.goto(page.url().replace(/\/check$/, ''));
  assert.match(await field.inputValue(), /heavy/, 'left and opened again, the draft is there');

  await typed(text.replace(/^mass_kg = .*$/m, `mass_kg = ${edition + 10}`));
  await page.locator('#preview').waitFor();
  await checkPage(page);
  await page.getByRole('button', { name: `Save as edition ${edition}` }).click();
  await page.getByRole('link', { name: 'Compare with this one' }).first().click();
  await page.getByText(`${edition + 10} kg`).waitFor();
  await checkPage(page);
  await context.close();
  return `edition ${edition}`;
}
