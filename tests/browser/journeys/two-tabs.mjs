// @ts-check
/** Two tabs of one phone say the same and send each entry once; two phones that record the same step clash. */

import assert from 'node:assert/strict';
import { PHONE } from '../demo.mjs';
import { deskOf } from './desk.mjs';
import { barSays, keysOf, openSheet, phoneOf, record, rowsOn, stepOf } from './pocket.mjs';

export const title = 'Two tabs of one phone, and two phones at one step';
export const ways = [{ name: 'phone', size: PHONE, javascript: true }];

/** @param {import('../run.mjs').Given} given */
export async function run(given) {
  const { base, signIns: { technician } } = given;
  const desk = await deskOf(given);
  const job = await desk.openJob(technician.name, 'TT 26 TAB');
  const sheet = `${base}${job}/sheet`;
  const before = await desk.record(job);

  const phone = await phoneOf(given, technician);
  const second = await phoneOf(given, { ...technician, name: 'ines' }, {}, false);
  await openSheet(second.page, sheet);
  await phone.context.setOffline(true);
  await second.context.setOffline(true);
  const tab = await phone.context.newPage();
  await openSheet(phone.page, sheet);
  await openSheet(tab, sheet);
  const keys = (await keysOf(tab, 'confirm')).slice(0, 4);
  for (const [at, key] of keys.entries()) await record(at % 2 ? tab : phone.page, key);
  for (const one of [tab, phone.page]) await barSays(one, '4 on this phone');
  assert.equal(await phone.page.locator('.step [data-entry]').count(), keys.length, 'each tab shows what the other saved');

  await phone.context.setOffline(false);
  for (const one of [tab, phone.page]) await barSays(one, 'All sent');
  assert.equal((await desk.record(job)).count, before.count + keys.length, 'each once');
  await phone.context.setOffline(true);

  const [nut] = await keysOf(tab, 'torque');
  await record(tab, nut);
  await record(second.page, nut, async (form) => {
    const upper = Number(await form.getAttribute('data-upper'));
    await form.locator('input[name="value"]').fill((upper * 1.3).toFixed(1));
  });
  await phone.context.setOffline(false);
  await barSays(tab, 'All sent');
  await second.context.setOffline(false);
  await barSays(second.page, 'All sent');
  const both = await desk.record(job);
  assert.equal(both.count, before.count + keys.length + 2, 'both readings are kept');
  assert.match(await desk.read(`${job}/review?step=${encodeURIComponent(nut)}`), /Two results that do not know of each other/);

  await openSheet(tab, sheet);
  await stepOf(tab, nut).locator('.step__result', { hasText: 'Clash' }).waitFor();
  await record(tab, nut);
  await barSays(tab, 'All sent');
  await tab.reload();
  await tab.locator(`.step[data-key="${nut}"][data-mark="pass"]`).waitFor({ state: 'attached' });
  assert.equal((await rowsOn(tab)).filter(({ state }) => state === 'waiting').length, 0);
  await desk.putAside(job);
  await phone.context.close();
  await second.context.close();
  await desk.context.close();
  return `${keys.length} entries from two tabs, each once; a third reading settles two`;
}
