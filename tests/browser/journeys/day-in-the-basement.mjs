// @ts-check
/**
 * A day without signal: one visit of the jobs in the yard, then a whole sheet in the basement, reloaded, signed, and
 * sent by itself when there is signal again; each entry once.
 */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { PHONE } from '../demo.mjs';
import { confirmAhead, deskOf } from './desk.mjs';
import { isWired } from './hand.mjs';
import { arePainted, barSays, keysOf, openSheet, openStep, outboxIsEmpty, phoneOf, record, rowsOn, stepOf } from './pocket.mjs';

export const title = 'A day in the basement';
export const ways = [{ name: 'phone', size: PHONE, javascript: true }];

/** @typedef {import('playwright-core').Page} Page */

const AHEAD = 24;
const ENTRIES_MIN = 50;
const LATER = 'Rests on foam: looked at once more.';

/** @param {import('../run.mjs').Given} given */
export async function run(given) {
  const desk = await deskOf(given);
  const job = await desk.openJob(given.signIns.technician.name, 'BS 26 MNT');
  await confirmAhead(given, given.signIns.technician, job, AHEAD);
  const before = await desk.record(job);
  const { context, page } = await phoneOf(given, given.signIns.technician);
  await checkPage(page);

  await context.setOffline(true);
  await lookAround(page, given.base, job);
  await workSheet(page);
  const rows = await rowsOn(page);
  const photos = new Set(rows.flatMap((row) => row.photos));
  assert.ok(rows.length >= ENTRIES_MIN && photos.size >= 3, `${rows.length} entries, ${photos.size} photos`);
  await isWhole(page, rows);
  await checkPage(page);
  await typeAndReload(page, rows);
  await listIsWhole(page, given.base, rows);
  await sign(page, given.base + job);
  const all = await rowsOn(page);

  await context.setOffline(false);
  await barSays(page, 'All sent');
  await page.getByText('Signed and sent.').waitFor();
  const record = await desk.record(job);
  assert.equal(record.count - before.count, all.length, 'each entry is with the server once');
  assert.deepEqual(record.photos, photos);
  for (const photo of photos) assert.equal((await desk.context.request.get(`${given.base}/photos/${photo}`)).status(), 200);
  await isOnceAfterReloads(context, page, record.results, given.base + job);
  assert.match(await desk.read(`${job}/review`), /Inconclusive/);
  await desk.putAside(job);
  await context.close();
  await desk.context.close();
  return `${all.length} entries, ${photos.size} photos, each once`;
}

/** What was taken along opens, what was not says so. @param {Page} page @param {string} base @param {string} job */
async function lookAround(page, base, job) {
  await page.goto(`${base}/jobs`);
  await page.locator(`[data-along-list] a[href="${job}/sheet"]`).waitFor();
  await page.locator(`.job-row[href="${job}"]`).click();
  await page.locator('.page__title', { hasText: 'Job' }).waitFor();
  await page.locator('a.links__link', { hasText: 'Plan' }).click();
  await page.locator('#findings').waitFor();
  const runs = page.locator('details', { has: page.locator('> summary', { hasText: 'Longest run for every size' }) }).first();
  await runs.locator('> summary').click();
  await runs.locator('tbody tr').first().waitFor();
  await page.goto(`${base}/kits`);
  await page.getByText('No signal').first().waitFor();
  const kept = page.locator(`[data-kept] a[href="${job}/sheet"]`);
  await kept.waitFor();
  await checkPage(page);
  await kept.click();
  await isWired(page);
}

/** Every step that is left, with all that may come between. @param {Page} page */
async function workSheet(page) {
  const [wrong] = await keysOf(page, 'reading');
  await record(page, wrong, async (form) => {
    const upper = await form.getAttribute('data-upper');
    await form.locator('input[name="value"]').fill((Number(upper) * 1.05).toFixed(2));
    await form.locator('output', { hasText: 'Fail' }).waitFor();
  });
  await page.locator('.step__saved', { hasText: 'Fail' }).getByRole('link', { name: 'Correct' }).click();
  await record(page, wrong, async (form) => {
    await form.locator('details.note', { hasText: 'Add a note' }).locator('summary').click();
    await form.locator('textarea[name="note"]').fill(LATER);
  });
  const [near] = await keysOf(page, 'torque');
  await record(page, near, async (form) => {
    await form.locator('input[name="value"]').fill((await form.getAttribute('data-upper')) ?? '');
    await form.locator('output', { hasText: 'Inconclusive' }).waitFor();
  });
  const undone = (await keysOf(page, 'note'))[0];
  await record(page, undone, async (form) => {
    await form.locator('textarea[name="value"]').fill('');
    await form.locator('details.note', { hasText: 'It cannot be done' }).locator('summary').click();
    await form.locator('textarea[name="unable"]').fill('The panel is riveted shut.');
  });
  for (let left = await page.locator('.step--todo').count(), half = left / 2; ; left -= 1) {
    if (left === Math.floor(half)) await reloadHalfWay(page);
    const todo = page.locator('.step--todo').first();
    if (await todo.count() === 0) break;
    await record(page, (await todo.getAttribute('data-key')) ?? '');
  }
}

/** The kept page is that of the yard: it goes on where the phone is. @param {Page} page */
async function reloadHalfWay(page) {
  const entries = page.locator('[data-entry]');
  const before = await entries.count();
  await page.reload();
  await isWired(page);
  await entries.nth(before - 1).waitFor({ state: 'attached' });
  await page.locator('.step--todo > details[open]').waitFor();
}

/** All that was recorded stands on the sheet. @param {Page} page @param {import('../../../static/outbox.js').Row[]} rows */
async function isWhole(page, rows) {
  await barSays(page, `${rows.length} on this phone`);
  await arePainted(page, rows, 'saved on this phone');
  const steps = new Set(rows.map(({ step }) => step)).size;
  assert.equal(await page.locator('.step--todo').count(), 0);
  assert.equal(await page.locator('.step__number [data-unsent]').count(), steps, 'each step has the sign of the phone');
  const hollow = await page.locator('.sheet-bar .tape__mark--held').count();
  const here = await page.locator('.step[data-held] > details[open]').count();
  assert.equal(hollow, steps - here, 'the tape is hollow where it is only here');
  for (const count of await page.locator('.phase__count').allTextContents()) {
    const [done, all] = count.split(' of ');
    assert.equal(done, all);
  }
}

/** @param {Page} page @param {import('../../../static/outbox.js').Row[]} rows */
async function typeAndReload(page, rows) {
  const key = rows.filter(({ kind }) => kind === 'reading').at(-1)?.step ?? '';
  const typed = () => stepOf(page, key).locator('input[name="value"]');
  await openStep(page, key);
  await typed().fill('3,14');
  await page.reload();
  await isWired(page);
  await page.locator('[data-entry]').nth(rows.length - 1).waitFor({ state: 'attached' });
  await isWhole(page, rows);
  await openStep(page, key);
  assert.equal(await typed().inputValue(), '3,14', 'what was typed and not saved is back');
  await typed().fill('');
}

/** @param {Page} page @param {string} base @param {import('../../../static/outbox.js').Row[]} rows */
async function listIsWhole(page, base, rows) {
  await page.goto(`${base}/waiting`);
  const waiting = page.locator('[data-waiting-part="waiting"] .held-row');
  await waiting.nth(rows.length - 1).waitFor();
  assert.equal(await waiting.count(), rows.length);
  await page.locator('[data-waiting-words]', { hasText: 'could not be reached' }).waitFor();
  await checkPage(page);
}

/** @param {Page} page @param {string} job */
async function sign(page, job) {
  await openSheet(page, `${job}/sheet`);
  await page.locator('#sign input[name="name"]').fill('Sam Fitter');
  await page.getByRole('button', { name: 'Sign and submit' }).click();
  await page.getByText('Signed, and saved on this phone.').waitFor();
}

/**
 * The kept page is older than the answers: it shows them once, and so does the page that comes after it.
 * @param {import('playwright-core').BrowserContext} context @param {Page} page @param {number} results @param {string} job
 */
async function isOnceAfterReloads(context, page, results, job) {
  const entries = page.locator('.step .history__entry');
  const remarks = page.locator('.step .history__entry', { hasText: LATER });
  for (const isOffline of [true, false, true]) {
    await context.setOffline(isOffline);
    await openSheet(page, `${job}/sheet`);
    await entries.nth(results - 1).waitFor({ state: 'attached' });
    if (!isOffline) await outboxIsEmpty(page);
    const shown = await entries.count() - await remarks.count();
    assert.equal(shown, results, isOffline ? 'the copy shows each once' : 'the new page shows each once');
    assert.equal(await page.locator('.step--todo').count(), 0);
  }
}
