// @ts-check
/** A wrench turns out to have read wrongly: what rests on it, what its error leaves, its paper, and another recall. */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { DESK, PHONE } from '../demo.mjs';
import { signIn } from './hand.mjs';

export const title = 'An instrument that read wrongly, and an invitation';

/** @type {import('../run.mjs').Way[]} */
export const ways = [
  { name: 'desk, with scripts', size: DESK, javascript: true },
  { name: 'phone, without scripts', size: PHONE, javascript: false },
];

const PDF = Buffer.from('%PDF-1.4\nInvented for a journey.\n%%EOF\n');

/** @param {import('../run.mjs').Given} given */
export async function run({ browser, base, signIns, javascript, size }) {
  const context = await browser.newContext({ viewport: size, javaScriptEnabled: javascript });
  const page = await context.newPage();
  await signIn(page, base, signIns.manager);
  await page.goto(`${base}/instruments`);
  await page.getByRole('link', { name: 'Wrench 09', exact: true }).click();
  await page.getByRole('link', { name: 'what is in doubt' }).first().click();
  await page.getByText('Certificate TV-').waitFor();
  await page.getByLabel('Off by').fill('19');
  await page.getByRole('button', { name: 'Show what would still pass' }).click();
  await page.getByText('Margin used up').first().waitFor();
  await checkPage(page);
  const job = page.locator('#released').getByRole('link', { name: 'Inspect again' });
  assert.match(await job.getAttribute('href') ?? '', /^\/jobs\/[^/]+\/again$/);
  await attach(page);
  await recallAnother(page, base, javascript);
  await invite(page, base);
  await context.close();
  return 'recalled';
}

/** The paper of its calibration, as a file. @param {import('playwright-core').Page} page */
async function attach(page) {
  await page.getByRole('link', { name: 'Wrench 09' }).click();
  await page.getByText('Attach a file').click();
  await page.getByLabel('Its paper, as a file').setInputFiles({ name: 'paper.pdf', mimeType: 'application/pdf', buffer: PDF });
  await page.getByRole('button', { name: 'Attach' }).click();
  await page.getByText('The file is kept with its calibration.').waitFor();
  await page.getByText('SHA-256').first().waitFor();
  await checkPage(page);
}

/** One that nothing else of the demo is read with. @param {import('playwright-core').Page} page @param {string} base @param {boolean} javascript */
async function recallAnother(page, base, javascript) {
  const label = javascript ? 'Wrench 91' : 'Wrench 92';
  const day = new Date().toISOString().slice(0, 10);
  const form = {
    label, kind: 'Torque wrench', serial: label, preset: 'torque', unit_1: 'N·m', from_1: '5', to_1: '60', resolution_1: '0.1',
    done_on: day, due_on: day, certificate: 'C-1',
  };
  const added = await page.request.post(`${base}/instruments`, { form, headers: { 'sec-fetch-site': 'same-origin' } });
  assert.ok(added.ok());
  await page.goto(`${base}/instruments`);
  await page.getByRole('link', { name: label, exact: true }).click();
  await page.getByText('Recall it: found out of tolerance').click();
  await page.getByRole('button', { name: `Recall ${label}` }).click();
  // Nothing was written about it: the form comes back, open.
  await page.getByText('This was not saved yet').waitFor();
  await page.getByLabel('What was found').fill('Fell from the ramp.');
  await page.getByRole('button', { name: `Recall ${label}` }).click();
  await page.getByText('No reading was taken with it since then.').waitFor();
  await page.goto(`${base}/instruments`);
  const row = page.locator('tr', { has: page.getByRole('link', { name: label, exact: true }) });
  await row.getByText('Recalled').waitFor();
}

/** The link opens a page of its own, and is taken back. @param {import('playwright-core').Page} page @param {string} base */
async function invite(page, base) {
  await page.goto(`${base}/people`);
  await page.getByLabel('For whom').fill('Runa');
  await page.getByRole('button', { name: 'Make a link' }).click();
  const link = await page.locator('.code--long').innerText();
  await checkPage(page);
  await page.goto(link.trim());
  await page.getByRole('heading', { name: 'You are invited' }).waitFor();
  await checkPage(page);
  await page.goto(`${base}/people`);
  await page.getByRole('button', { name: 'Revoke the invitation for Runa' }).first().click();
  await page.getByText('The link opens nothing any more.').waitFor();
  await page.goto(link.trim());
  await page.getByRole('heading', { name: 'This invitation does not open anything' }).waitFor();
}
