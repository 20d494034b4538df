// @ts-check
/**
 * A phone that finds no signal any more saves its outbox to a file; a manager loads it. When the phone comes back
 * after all, nothing is doubled.
 */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { DESK, PHONE } from '../demo.mjs';
import { deskOf } from './desk.mjs';
import { signIn } from './hand.mjs';
import { keysOf, openSheet, outboxIsEmpty, phoneOf, record, rowsOn } from './pocket.mjs';

export const title = 'The file of a phone that finds no signal';
export const ways = [{ name: 'phone and desk', size: PHONE, javascript: true }];

/** @param {import('../run.mjs').Given} given */
export async function run(given) {
  const { base, browser, signIns: { technician, manager } } = given;
  const desk = await deskOf(given);
  const job = await desk.openJob(technician.name, 'FL 26 RES');
  const before = await desk.record(job);
  const { context, page } = await phoneOf(given, technician, { acceptDownloads: true });
  await context.setOffline(true);
  await openSheet(page, `${base}${job}/sheet`);
  const keys = [...(await keysOf(page, 'confirm')).slice(0, 3), ...(await keysOf(page, 'photo')).slice(0, 2)];
  for (const key of keys) await record(page, key);
  await page.goto(`${base}/waiting`);
  const saving = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save to a file' }).click();
  const file = await (await saving).path();

  const office = await browser.newContext({ viewport: DESK });
  const loading = await office.newPage();
  await signIn(loading, base, manager);
  await loading.goto(`${base}/outbox-file`);
  await loading.locator('#file').setInputFiles(file);
  await loading.getByRole('button', { name: 'Look into it' }).click();
  await loading.getByText('They are recorded under that name').waitFor();
  await checkPage(loading);
  await loading.locator('form[action="/outbox-file/record"] button').click();
  await loading.getByText('Another file').waitFor();
  const loaded = await desk.record(job);
  assert.equal(loaded.results, before.results + keys.length);
  assert.equal(loaded.photos.size, 2);
  const review = await desk.read(`${job}/review?step=${encodeURIComponent(keys[0])}`);
  assert.match(review, /Tomasz Brandl/);
  assert.match(review, /Came by (a phone's )?file/, 'the review says that it came by a file');
  await office.close();

  await context.setOffline(false);
  await page.locator('[data-waiting-words]', { hasText: 'is with the server' }).waitFor();
  const after = await desk.record(job);
  assert.deepEqual([after.count, after.results], [loaded.count, loaded.results], 'the phone doubles nothing');
  assert.ok((await rowsOn(page)).every(({ state }) => state === 'sent'), 'each was there already');
  await openSheet(page, `${base}${job}/sheet`);
  await outboxIsEmpty(page);
  assert.equal(await page.locator('.step .history__entry').count(), after.results);
  await desk.putAside(job);
  await context.close();
  await desk.context.close();
  return `${keys.length} entries, 2 photos, by the file and once`;
}
