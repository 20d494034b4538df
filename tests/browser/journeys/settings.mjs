// @ts-check
/**
 * What an owner sets: the language of papers, which the customer's page then speaks, a limit within its band, and how
 * long what is kept. Each is put back, since other journeys share the workshop.
 */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { DESK, PHONE } from '../demo.mjs';
import { signIn } from './hand.mjs';

export const title = 'What the workshop sets';

/** @type {import('../run.mjs').Way[]} */
export const ways = [
  { name: 'phone with scripts', size: PHONE, javascript: true },
  { name: 'desk without scripts', size: DESK, javascript: false },
];

/** @typedef {import('playwright-core').Page} Page */

/** @param {Page} page @param {string} base @param {{ language: string, mark: string }} papers */
async function speak(page, base, { language, mark }) {
  await page.goto(`${base}/settings`);
  await page.locator('[name="language"]').selectOption(language);
  await page.locator('[name="mark"]').selectOption(mark);
  await page.getByRole('button', { name: 'Save settings' }).click();
  await page.getByText('Saved').first().waitFor();
  assert.equal(await page.locator('[name="language"]').inputValue(), language);
}

/** The customer's page of a released job, as its link opens it. @param {Page} page @param {import('../run.mjs').Given} given */
async function customerPage(page, { base, browser }) {
  await page.goto(`${base}/jobs?find=TW+20+ORD`);
  const job = await page.locator('[aria-labelledby="g-found"] a').first().getAttribute('href');
  await page.goto(`${base}${job}/links`);
  await page.locator('form[action$="/links"] button').click();
  const link = (await page.locator('.code').first().textContent() ?? '').trim();
  const customer = await browser.newContext({ viewport: PHONE });
  const shown = await customer.newPage();
  await shown.goto(link);
  const spoken = { lang: await shown.locator('html').getAttribute('lang'), words: await shown.locator('main').innerText() };
  await checkPage(shown);
  await customer.close();
  return spoken;
}

/** @param {Page} page @param {string} base */
async function chooseLimit(page, base) {
  const field = page.locator('[name="terminal_rise"]');
  const keep = () => page.getByRole('button', { name: 'Keep these limits' }).click();
  await page.goto(`${base}/settings/rules`);
  await checkPage(page);
  await field.fill('40');
  await keep();
  // Looser wants a reason, and what was typed stays.
  await page.locator('.errors').waitFor();
  assert.equal(await field.inputValue(), '40');
  await page.locator('[name="reason"]').fill('Long runs in hot bays, looked at again after a week.');
  await keep();
  await page.getByText('Long runs in hot bays').first().waitFor();
  await page.goto(`${base}/settings/rules`);
  assert.equal(await field.inputValue(), '40');
  await field.fill('30');
  await page.locator('[name="reason"]').fill('');
  await keep();
  await page.locator('.errors').waitFor({ state: 'detached' });
}

/** @param {Page} page @param {string} base */
async function letGo(page, base) {
  const links = page.locator('[name="links"]');
  await page.goto(`${base}/settings/retention`);
  await checkPage(page);
  for (const [months, kept] of [['soon', false], ['24', true], ['', true]]) {
    await links.fill(String(months));
    await page.getByRole('button', { name: 'Keep these times' }).click();
    await page.locator('.errors').waitFor({ state: kept ? 'detached' : 'visible' });
    assert.equal(await links.inputValue(), months);
  }
}

/** @param {import('../run.mjs').Given} given */
export async function run(given) {
  const { browser, base, signIns, size, javascript } = given;
  const context = await browser.newContext({ viewport: size, javaScriptEnabled: javascript });
  const page = await context.newPage();
  await signIn(page, base, signIns.owner);
  await speak(page, base, { language: 'de', mark: 'comma' });
  await checkPage(page);
  const german = await customerPage(page, given);
  assert.equal(german.lang, 'de');
  assert.match(german.words, /Sicherung/);
  await speak(page, base, { language: 'en', mark: 'point' });
  const english = await customerPage(page, given);
  assert.equal(english.lang, 'en');
  assert.match(english.words, /Find the fuse/);
  await chooseLimit(page, base);
  await letGo(page, base);
  await context.close();
  return 'German and back, a limit and back, times and back';
}
