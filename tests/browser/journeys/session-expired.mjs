// @ts-check
/**
 * The time on the server is up, or a crash took the cookie with it, while there was no signal: nothing is lost, the
 * bar asks for the sign-in, and after it everything is sent.
 */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { PHONE } from '../demo.mjs';
import { deskOf } from './desk.mjs';
import { arePainted, barSays, jobsAreReady, keysOf, openSheet, phoneOf, record, rowsOn } from './pocket.mjs';

export const title = 'The session is over while the phone is away';
export const ways = [{ name: 'phone', size: PHONE, javascript: true }];

/** @param {import('../run.mjs').Given} given */
export async function run(given) {
  const { base, signIns: { technician } } = given;
  const desk = await deskOf(given);
  const job = await desk.openJob(technician.name, 'SE 26 OUT');
  const before = await desk.record(job);
  const { context, page } = await phoneOf(given, technician);
  await context.setOffline(true);
  await openSheet(page, `${base}${job}/sheet`);
  const keys = (await keysOf(page, 'confirm')).slice(0, 3);
  for (const key of keys) await record(page, key);
  await context.clearCookies({ name: 'session' });
  await context.setOffline(false);
  await barSays(page, '3 here: sign in');
  await arePainted(page, await rowsOn(page), 'saved on this phone');
  assert.equal((await desk.record(job)).count, before.count);

  // The sheet cannot be had from the server any more; the bar leads to where one signs in.
  await page.locator('.held__link').click();
  await page.locator('[data-waiting-words]', { hasText: 'Sign in again' }).waitFor();
  await checkPage(page);
  await page.getByRole('link', { name: 'Sign in to send' }).click();
  await typePassword(page, technician);
  await barSays(page, 'All sent');
  assert.equal((await desk.record(job)).count, before.count + keys.length);
  await leaveWithoutSignal(page, given);
  await desk.putAside(job);
  await context.close();
  await desk.context.close();
  return `${keys.length} entries, each once`;
}

/** @param {import('playwright-core').Page} page @param {import('../demo.mjs').SignIn} who */
async function typePassword(page, who) {
  await page.locator('input[name="name"]').fill(who.name);
  await page.locator('input[name="password"]').fill(who.password);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await page.waitForURL(/\/jobs$/);
}

/**
 * Signing out without signal ends the session as soon as there is signal, and no later one.
 * @param {import('playwright-core').Page} page @param {import('../run.mjs').Given} given
 */
async function leaveWithoutSignal(page, { base, signIns: { technician } }) {
  await jobsAreReady(page);
  await page.context().setOffline(true);
  await page.goto(`${base}/jobs`);
  await page.locator('.bar__menu').click();
  await page.getByRole('button', { name: 'Sign out' }).click();
  await page.getByText('No signal').first().waitFor();
  await page.goto(`${base}/jobs`);
  await page.getByText('No signal').first().waitFor();
  await page.context().setOffline(false);
  await page.goto(`${base}/jobs`);
  await page.waitForURL(/\/sign-in/);
  await typePassword(page, technician);
  await jobsAreReady(page);
  await page.reload();
  await jobsAreReady(page);
}
