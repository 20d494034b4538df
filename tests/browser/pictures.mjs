// @ts-check
/**
 * Makes the pictures of README.md anew, from the demo, into tests/pictures. Run it after a change of
 * looks, look at what it made, and commit what is better.
 */

import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { DESK, PHONE, addressOf, onStage } from './demo.mjs';
import { signIn } from './journeys/hand.mjs';

const FOLDER = fileURLToPath(new URL('../pictures/', import.meta.url));
const BYTES_MAX = 200 * 1024;
const CERTIFICATE_WIDTH = 860;

/** Jobs of the demo, as it numbers them. */
const JOB = { released: 1, wantsEyes: 3, halfWay: 7, stopped: 10 };
/** A nut that failed once, and what the wrench says after it was put right. */
const AGAIN = { step: 'terminate.1_in_plus.torque', reading: '5.5' };

/** @typedef {import('playwright-core').Page} Page */

/** @param {string} name */
const into = (name) => join(FOLDER, name);

/**
 * @param {import('./demo.mjs').Stage} stage @param {import('./demo.mjs').SignIn} who
 * @param {{ width: number, height: number }} viewport @param {number} sharpness
 */
async function open({ browser, base }, who, viewport, sharpness) {
  const context = await browser.newContext({ viewport, deviceScaleFactor: sharpness, colorScheme: 'light' });
  const page = await context.newPage();
  await signIn(page, base, who);
  return page;
}

/** A reading on the phone before it is saved: gauge, verdict, and the button that names it. @param {Page} page @param {string} job */
async function sheet(page, job) {
  await page.goto(`${job}/sheet?open=${AGAIN.step}`);
  const form = page.locator(`form[data-step="${AGAIN.step}"]`);
  await form.locator('input[name="value"]').fill(AGAIN.reading);
  await form.locator('output', { hasText: 'Pass' }).waitFor();
  await page.screenshot({ path: into('sheet.png'), animations: 'disabled' });
}

/** Every result of a job with its limit, and one entry looked at closely. @param {Page} page @param {string} job */
async function desk(page, job) {
  await page.goto(`${job}/review`);
  await page.locator('.entry__head').waitFor();
  await page.screenshot({ path: into('desk.png') });
}

/** What the plan says about this vehicle. @param {Page} page @param {string} job */
async function plan(page, job) {
  await page.goto(`${job}/plan`);
  await page.locator('.finding--stop').first().waitFor();
  await page.screenshot({ path: into('plan.png') });
}

/** First page of a paper. @param {Page} page @param {string} base @param {string} job */
async function certificate(page, base, job) {
  await page.goto(job);
  const href = await page.locator('a[href^="/certificates/"]').first().getAttribute('href');
  const answer = await page.context().request.get(`${base}${href}`);
  const folder = mkdtempSync(join(tmpdir(), 'picture-'));
  const file = join(folder, 'certificate.pdf');
  writeFileSync(file, await answer.body());
  const size = ['-scale-to-x', String(CERTIFICATE_WIDTH), '-scale-to-y', '-1'];
  execFileSync('pdftoppm', ['-png', '-singlefile', '-f', '1', ...size, file, into('certificate')]);
  rmSync(folder, { recursive: true });
}

mkdirSync(FOLDER, { recursive: true });
await onStage(async (stage) => {
  const { base, signIns } = stage;
  const phone = await open(stage, signIns.technician, PHONE, 2);
  await sheet(phone, await addressOf(phone, base, JOB.halfWay));
  const manager = await open(stage, signIns.manager, DESK, 1);
  await desk(manager, await addressOf(manager, base, JOB.wantsEyes));
  await plan(manager, await addressOf(manager, base, JOB.stopped));
  await certificate(manager, base, await addressOf(manager, base, JOB.released));
});
for (const name of ['sheet.png', 'desk.png', 'plan.png', 'certificate.png']) {
  const { size } = statSync(into(name));
  console.log(`${into(name)}: ${Math.round(size / 1024)} KiB`);
  if (size > BYTES_MAX) throw new Error(`${name} is too large for a README: ${size} bytes`);
}
