// @ts-check
/**
 * A customer's link through a certificate's life: made at the handover, opened on the customer's own phone, the
 * certificate withdrawn by two people and issued anew, the link revoked.
 */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { DESK, PHONE, addressOf } from '../demo.mjs';
import { signIn } from './hand.mjs';

export const title = 'The customer opens the handover by a link, before and after a withdrawal';

/** @type {import('../run.mjs').Way[]} */
export const ways = [
  { name: 'with scripts', size: PHONE, javascript: true },
  { name: 'without scripts', size: DESK, javascript: false },
];

/** Released, with a certificate, in the demo. */
const JOB = 1;
const REASON = 'The supply fuse was noted with the wrong rating.';

/** @param {import('../run.mjs').Given} given */
export async function run({ browser, base, signIns, size, javascript }) {
  const open = () => browser.newContext({ viewport: size, javaScriptEnabled: javascript });
  const contexts = await Promise.all([open(), open(), open()]);
  const [manager, owner, customer] = await Promise.all(contexts.map((context) => context.newPage()));
  await signIn(manager, base, signIns.manager);
  await signIn(owner, base, signIns.owner);
  const job = await addressOf(manager, base, JOB);

  await manager.goto(job);
  await manager.getByRole('link', { name: /Customer's link/ }).click();
  await manager.getByRole('button', { name: 'Make a link' }).click();
  await checkPage(manager);
  const link = (await manager.locator('#link').textContent() ?? '').trim();
  await manager.goto(`${job}/links`);
  assert.ok(!(await manager.content()).includes(link), 'the link is shown again');

  await customer.goto(link);
  assert.equal(new URL(customer.url()).pathname, '/handover', 'the secret stays in the address');
  await checkPage(customer);
  await customer.getByRole('link', { name: /Find the fuse/ }).click();
  assert.ok(await customer.getByText(/along the cable from/).first().isVisible());
  const paper = await customer.request.get(`${base}/handover/paper.pdf`);
  assert.equal(paper.headers()['content-type'], 'application/pdf');
  const before = await number(customer);

  await withdraw(manager, owner, job);
  await customer.goto(`${base}/handover`);
  await customer.getByRole('heading', { name: 'Withdrawn' }).waitFor();
  await checkPage(customer);
  await owner.getByRole('button', { name: 'Issue a new certificate' }).click();
  await owner.getByRole('link', { name: /Open certificate/ }).waitFor();
  await customer.goto(`${base}/handover`);
  assert.notEqual(await number(customer), before, 'the withdrawn certificate is still shown');

  await manager.goto(`${job}/links`);
  await manager.getByText(/^once, /).first().waitFor();
  await manager.getByRole('button', { name: /Revoke/ }).first().click();
  await manager.getByText('sees nothing any more').waitFor();
  await customer.goto(`${base}/handover`);
  await customer.getByRole('heading', { name: 'Nothing here' }).waitFor();
  await checkPage(customer);
  await Promise.all(contexts.map((context) => context.close()));
  return 'one link, two certificates';
}

/** Of the certificate that the customer's page names. @param {import('playwright-core').Page} page */
async function number(page) {
  return page.locator('.facts div', { hasText: 'Certificate' }).locator('dd').innerText();
}

/**
 * @param {import('playwright-core').Page} asks
 * @param {import('playwright-core').Page} confirms
 * @param {string} job
 */
async function withdraw(asks, confirms, job) {
  await asks.goto(`${job}/review`);
  await asks.locator('summary', { hasText: 'Withdraw this certificate' }).click();
  await asks.getByLabel('Why it stands no longer').fill('short');
  await asks.getByRole('button', { name: 'Ask to withdraw it' }).click();
  await asks.getByText('Write in 10 to 500 characters').first().waitFor();
  assert.equal(await asks.getByLabel('Why it stands no longer').inputValue(), 'short', 'what was written is lost');
  await asks.getByLabel('Why it stands no longer').fill(REASON);
  await asks.getByRole('button', { name: 'Ask to withdraw it' }).click();
  await asks.getByText('stays in force until a second').first().waitFor();
  await confirms.goto(`${job}/review`);
  await checkPage(confirms);
  await confirms.getByRole('button', { name: 'Confirm the withdrawal' }).click();
  await confirms.getByText('is told so from now on').waitFor();
}
