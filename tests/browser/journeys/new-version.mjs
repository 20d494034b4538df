// @ts-check
/**
 * A new version of the program comes while entries wait on the phone: it is offered, what waits stays, after the
 * press the page runs on the new one and all is sent. A page of the old one that was open goes on saving.
 */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { PHONE } from '../demo.mjs';
import { deskOf } from './desk.mjs';
import { frontOf } from './front.mjs';
import { isWired } from './hand.mjs';
import { arePainted, barSays, keysOf, openSheet, phoneOf, record, remarkOften, rowsOn } from './pocket.mjs';

export const title = 'A new version while entries wait';
export const ways = [{ name: 'phone', size: PHONE, javascript: true }];

const WAITING = 30;

/** @param {import('playwright-core').Page} page */
const buildOf = (page) => page.locator('script[type="module"]').first().evaluate(
  (script) => /** @type {HTMLScriptElement} */ (script).src.split('/')[4],
);

/** @param {import('../run.mjs').Given} given */
export async function run(given) {
  const front = await frontOf(given.base);
  try {
    return await walk({ ...given, base: front.base }, await deskOf(given), front);
  } finally {
    await front.close();
  }
}

/**
 * @param {import('../run.mjs').Given} given @param {Awaited<ReturnType<typeof deskOf>>} desk
 * @param {Awaited<ReturnType<typeof frontOf>>} front
 */
async function walk(given, desk, front) {
  const { base, signIns: { technician } } = given;
  const job = await desk.openJob(technician.name, 'NV 26 BLD');
  const sheet = `${base}${job}/sheet`;
  const before = await desk.record(job);
  const { context, page } = await phoneOf(given, technician);
  front.letSync(false);
  await openSheet(page, sheet);
  const [first, second, third] = await keysOf(page, 'confirm');
  await remarkOften(page, { job: job.replace('/jobs/', ''), step: first, count: WAITING });
  await barSays(page, `${WAITING} on this phone`);
  const old = await context.newPage();
  await openSheet(old, sheet);
  assert.equal(await buildOf(old), front.builds.own);

  front.renew();
  await page.reload();
  await page.getByText('A new version is ready.').waitFor();
  await checkPage(page);
  await arePainted(page, await rowsOn(page), 'saved on this phone');
  await record(old, second);
  await barSays(page, `${WAITING + 1} on this phone`);

  await page.getByRole('button', { name: 'Use it now' }).click();
  await page.waitForFunction((build) => document.querySelector('script[type="module"]')?.getAttribute('src')?.includes(build)
    && navigator.serviceWorker.controller, front.builds.next);
  await isWired(page);
  await barSays(page, `${WAITING + 1} on this phone`);
  await page.getByText('A new version is ready.').waitFor({ state: 'detached' });
  await isWired(old);
  await record(old, third);
  front.letSync(true);
  await page.evaluate(() => window.dispatchEvent(new Event('online')));
  await barSays(page, 'All sent');
  assert.equal((await desk.record(job)).count, before.count + WAITING + 2, 'each once');

  await context.setOffline(true);
  await openSheet(page, sheet);
  assert.equal(await buildOf(page), front.builds.next);
  await desk.putAside(job);
  await context.close();
  await desk.context.close();
  return `${WAITING + 2} entries over the change, each once`;
}
