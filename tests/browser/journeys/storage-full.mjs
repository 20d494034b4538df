// @ts-check
/**
 * The phone has no room left: a reading is kept beside the database, shown and sent; a photo says that it is not
 * saved, and what was typed stands there still. The full disk is played by the test.
 */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { PHONE } from '../demo.mjs';
import { deskOf } from './desk.mjs';
import { picture } from './hand.mjs';
import { arePainted, barSays, keysOf, openSheet, openStep, phoneOf, record, rowsOn } from './pocket.mjs';

export const title = 'A phone without room';
export const ways = [{ name: 'phone', size: PHONE, javascript: true }];

const NOTE = 'Clip set a hand further back.';

/** Runs before the page's scripts. */
function playFull() {
  const { add, put } = IDBObjectStore.prototype;
  const isFull = (/** @type {IDBObjectStore} */ store) => localStorage.getItem('test:full') && store.name !== 'meta';
  const refuse = () => { throw new DOMException('The disk is full.', 'QuotaExceededError'); };
  /** @param {typeof add} real @returns {typeof add} */
  const orNot = (real) => /** @this {IDBObjectStore} */ function write(value, key) {
    return isFull(this) ? refuse() : real.call(this, value, key);
  };
  IDBObjectStore.prototype.add = orNot(add);
  IDBObjectStore.prototype.put = orNot(put);
}

/** @param {import('../run.mjs').Given} given */
export async function run(given) {
  const { base, signIns: { technician } } = given;
  const desk = await deskOf(given);
  const job = await desk.openJob(technician.name, 'SF 26 FUL');
  const before = await desk.record(job);
  const { context, page } = await phoneOf(given, technician);
  await page.addInitScript(playFull);
  await context.setOffline(true);
  await openSheet(page, `${base}${job}/sheet`);
  const [first, second, third] = await keysOf(page, 'confirm');
  const [reading] = await keysOf(page, 'reading');
  await record(page, first);
  await page.evaluate(() => localStorage.setItem('test:full', 'yes'));
  await record(page, reading);
  await record(page, second);
  await barSays(page, '3 on this phone');

  const form = await openStep(page, third);
  await form.locator('input[name="value"]').check();
  await form.locator('details.note', { hasText: 'Add a note' }).locator('summary').click();
  await form.locator('textarea[name="note"]').fill(NOTE);
  const photo = { name: 'photo.jpg', mimeType: 'image/jpeg', buffer: await picture(page) };
  await form.locator('input[name="photo"]').setInputFiles(photo);
  await form.locator('[data-save]').click();
  await form.locator('[data-error]', { hasText: 'NOT saved' }).waitFor();
  await checkPage(page);
  assert.equal(await form.locator('textarea[name="note"]').inputValue(), NOTE, 'what was typed stands there');
  assert.equal(await form.locator('.photo__shots img').count(), 1, 'and the photo');

  await openSheet(page, `${base}${job}/sheet`);
  await barSays(page, '3 on this phone');
  await arePainted(page, await rowsOn(page), 'saved on this phone');

  // The disk is still full when signal comes back: sending needs no room, writing down the answer may.
  await context.setOffline(false);
  await barSays(page, /^1 on this phone|All sent/);
  assert.equal((await desk.record(job)).count, before.count + 3);
  await page.evaluate(() => localStorage.removeItem('test:full'));
  await page.reload();
  await record(page, third);
  await barSays(page, 'All sent');
  const left = await page.evaluate(() => Object.keys(localStorage).filter((key) => key.startsWith('spill:')));
  assert.deepEqual(left, []);
  assert.equal((await desk.record(job)).count, before.count + 5, 'each once, with the note that was typed before');
  await desk.putAside(job);
  await context.close();
  await desk.context.close();
  return '2 of 5 entries kept beside the database, each once';
}
