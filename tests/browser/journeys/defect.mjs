// @ts-check
/** A defect's life: a manager opens one, the technician reads what is wrong and notes what was done, the manager confirms. */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { PHONE, addressOf } from '../demo.mjs';
import { signIn } from './hand.mjs';

export const title = "A defect's life";

/** @type {import('../run.mjs').Way[]} */
export const ways = [
  { name: 'with scripts', size: PHONE, javascript: true },
  { name: 'without scripts', size: PHONE, javascript: false },
];

/** A job of the demo whose sheet waits for the vehicle. */
const JOB = 8;

/** @param {import('../run.mjs').Given} given */
export async function run({ browser, base, signIns, javascript, size }) {
  const [manager, technician] = await Promise.all([signIns.manager, signIns.technician].map(async (person) => {
    const context = await browser.newContext({ viewport: size, javaScriptEnabled: javascript });
    const page = await context.newPage();
    await signIn(page, base, person);
    return page;
  }));
  const wrong = `The grommet is split, ${javascript ? 'left' : 'right'}`;
  const job = await addressOf(manager, base, JOB);
  await manager.goto(`${job}/defects/new`);
  await checkPage(manager);
  await manager.fill('#text', wrong);
  await manager.click('button:has-text("Open the defect")');
  await manager.waitForURL(/#defects/);
  await manager.goto(`${job}/review`);
  assert.ok(await manager.getByText(wrong).count() >= 1, 'the review says what keeps the job');

  await technician.goto(job);
  await technician.click(`.links__link:has-text("${wrong}")`);
  await checkPage(technician);
  await technician.fill('#text', 'Grommet made new.');
  await technician.click('text=Note what was done');
  await technician.getByText('Waits for a manager to confirm it.').first().waitFor();
  assert.equal(await technician.locator('text=It is put right').count(), 0, 'technicians confirm nothing');

  await manager.goto(`${base}/defects`);
  await checkPage(manager);
  await manager.click(`tr:has-text("${wrong}") th a`);
  await manager.fill('#seen', 'Looked at it.');
  await manager.click('text=It is put right');
  await manager.waitForURL(/done=confirmed/);
  await checkPage(manager);
  await manager.goto(`${base}/defects?state=closed`);
  assert.equal(await manager.locator(`tr:has-text("${wrong}")`).count(), 1);
  await Promise.all([manager.context().close(), technician.context().close()]);
  return 'opened, reworked, confirmed';
}
