// @ts-check
/**
 * While a phone records on the first sheet a manager changes the plan and makes the second: what was recorded is
 * kept, the phone says that there is a new sheet, and that one says what is due again and why.
 */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { PHONE } from '../demo.mjs';
import { deskOf } from './desk.mjs';
import { isWired } from './hand.mjs';
import { barSays, keysOf, openSheet, phoneOf, record, rowsOn, stepOf } from './pocket.mjs';

export const title = 'The plan changes while the phone is away';
export const ways = [{ name: 'phone', size: PHONE, javascript: true }];

const PLATE = 'CP 26 PLN';
/** Some metres more: the path may have more resistance now. */
const CHANGE = { 'vehicle.registration': PLATE, 'circuits.supply.length_out_m': '4.4', 'circuits.supply.length_back_m': '4.6' };

/** @param {import('../run.mjs').Given} given */
export async function run(given) {
  const { base, signIns: { technician } } = given;
  const desk = await deskOf(given);
  const job = await desk.openJob(technician.name, PLATE);
  const { context, page } = await phoneOf(given, technician);
  await context.setOffline(true);
  await openSheet(page, `${base}${job}/sheet`);
  const paths = await keysOf(page, 'ratio');
  const keys = [...(await keysOf(page, 'confirm')).slice(0, 2), ...paths];
  for (const key of keys) await record(page, key);

  await desk.plan(job, CHANGE);
  const before = await desk.record(job);
  await context.setOffline(false);
  await barSays(page, 'All sent');
  await page.locator('[data-new-sheet]').waitFor();
  await checkPage(page);
  assert.equal((await desk.record(job)).count, before.count + keys.length, 'all is kept');
  assert.ok((await rowsOn(page)).every(({ state }) => state === 'sent'));

  await page.getByRole('link', { name: 'Open the new sheet' }).click();
  await page.locator('#steps[data-sheet="2"]').waitFor();
  await isWired(page);
  await page.locator('[data-new-sheet]').waitFor({ state: 'detached' });
  const due = [];
  for (const key of keys) {
    const step = stepOf(page, key);
    const isDone = /step--done/.test((await step.getAttribute('class')) ?? '');
    assert.ok(await step.locator('.history__entry').count() === 1, `${key} shows what was recorded, once`);
    if (!isDone) due.push(key);
  }
  assert.ok(due.length > 0 && due.every((key) => paths.includes(key)), `due again: ${due.join()}`);
  const first = stepOf(page, due[0]);
  if (await first.locator('> details').getAttribute('open') === null) await first.locator('> details > summary').click();
  const why = await first.locator('.step__body, .step__fold > .notice').allTextContents();
  assert.match(why.join(' '), /limit|plan|sheet/i, 'and says why');
  await record(page, due[0]);
  await barSays(page, 'All sent');
  await checkPage(page);
  await desk.putAside(job);
  await context.close();
  await desk.context.close();
  return `${keys.length} kept, ${due.length} due again`;
}
