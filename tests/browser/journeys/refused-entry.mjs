// @ts-check
/**
 * An entry that the server will never take: the others go through, it says why on the bar and on the page of what
 * waits, it can be put away, and it is never deleted. And a phone whose clock is wrong.
 */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { PHONE } from '../demo.mjs';
import { deskOf } from './desk.mjs';
import { barSays, keysOf, openSheet, phoneOf, record, remarkOften, rowsOn } from './pocket.mjs';

export const title = 'An entry that is refused, and a wrong clock';
export const ways = [{ name: 'phone', size: PHONE, javascript: true }];

const OFF_MINUTES = 20;

/** @param {import('../run.mjs').Given} given */
export async function run(given) {
  const desk = await deskOf(given);
  const job = await desk.openJob(given.signIns.technician.name, 'RE 26 FSD');
  const other = await desk.openJob(given.signIns.technician.name, 'RE 26 OTH');
  await refuse(given, desk, job, other);
  for (const minutes of [OFF_MINUTES, -OFF_MINUTES]) await misread(given, desk, job, minutes);
  await desk.putAside(job, other);
  await desk.context.close();
  return `1 of 6 refused and kept, clock ${OFF_MINUTES} min off both ways`;
}

/** @typedef {Awaited<ReturnType<typeof deskOf>>} Desk */

/** @param {import('../run.mjs').Given} given @param {Desk} desk @param {string} job @param {string} other */
async function refuse(given, desk, job, other) {
  const { base } = given;
  const before = await desk.record(job);
  const { context, page } = await phoneOf(given, given.signIns.technician);
  await context.setOffline(true);
  await openSheet(page, `${base}${job}/sheet`);
  const keys = (await keysOf(page, 'confirm')).slice(0, 4);
  const ids = [job, other].map((path) => path.replace('/jobs/', ''));
  for (const key of keys.slice(0, 2)) await record(page, key);
  const [poison] = await remarkOften(page, { job: ids[0], step: keys[0], count: 1, of: ids[1] });
  for (const key of keys.slice(2)) await record(page, key);
  await page.goto(`${base}/waiting`);
  await page.locator('[data-waiting-part="waiting"] .held-row').nth(keys.length).waitFor();

  await context.setOffline(false);
  const refused = page.locator('[data-waiting-part="refused"] .held-row');
  await refused.first().waitFor();
  assert.equal(await refused.count(), 1);
  assert.equal((await desk.record(job)).count, before.count + keys.length, 'the others went through');
  const why = await refused.locator('.held-row__why').textContent();
  assert.match(why ?? '', /job/, 'it says why');
  await checkPage(page);
  await openSheet(page, `${base}${job}/sheet`);
  await barSays(page, '1 not accepted');
  await page.locator(`[data-entry="${poison}"]`, { hasText: 'not accepted' }).waitFor({ state: 'attached' });
  await checkPage(page);

  await page.goto(`${base}/waiting`);
  await refused.getByRole('button', { name: 'Put it away' }).click();
  await page.locator('[data-waiting-part="aside"] .held-row').waitFor();
  await checkPage(page);
  await page.reload();
  await page.locator('[data-waiting-part="aside"] .held-row', { hasText: 'Remark 1' }).waitFor();
  assert.ok((await rowsOn(page)).some(({ id, state }) => id === poison && state === 'aside'), 'it is kept');
  await context.close();
}

/** @param {import('../run.mjs').Given} given @param {Desk} desk @param {string} job @param {number} minutes  ahead */
async function misread(given, desk, job, minutes) {
  const before = await desk.record(job);
  const { context, page } = await phoneOf(given, given.signIns.technician);
  await page.addInitScript((ms) => {
    const now = Date.now.bind(Date);
    const Real = Date;
    globalThis.Date = new Proxy(Real, {
      construct: (_, given) => (given.length > 0 ? Reflect.construct(Real, given) : new Real(now() + ms)),
      get: (target, name) => (name === 'now' ? () => now() + ms : Reflect.get(target, name)),
    });
  }, minutes * 60_000);
  await context.setOffline(true);
  await openSheet(page, `${given.base}${job}/sheet`);
  const key = (await keysOf(page, 'confirm'))[minutes > 0 ? 4 : 5];
  await record(page, key);
  await context.setOffline(false);
  await barSays(page, 'All sent');
  assert.equal((await desk.record(job)).count, before.count + 1);
  await page.goto(`${given.base}/waiting`);
  await page.locator('[data-room-facts]', { hasText: `${OFF_MINUTES} min ${minutes > 0 ? 'ahead' : 'behind'}` }).waitFor();
  const review = await desk.read(`${job}/review?step=${encodeURIComponent(key)}`);
  assert.match(review, /clock was more than 5 minutes off/, 'the review says that the clock was off');
  await context.close();
}
