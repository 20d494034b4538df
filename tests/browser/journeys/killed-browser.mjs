// @ts-check
/**
 * The browser dies: right after Save said so, and in the middle of sending. Started again, the phone has everything,
 * and everything is with the server once.
 */

import assert from 'node:assert/strict';
import { readdirSync, readFileSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { CHROMIUM, FLAGS, PHONE } from '../demo.mjs';
import { deskOf } from './desk.mjs';
import { frontOf } from './front.mjs';
import { signIn } from './hand.mjs';
import { jobsAreReady, keysOf, openSheet, openStep, record, remarkOften, rowsOn } from './pocket.mjs';

export const title = 'The browser is killed';
export const ways = [{ name: 'phone', size: PHONE, javascript: true }];

const MANY = 60;

/** The browser that uses this profile, and no other. @param {string} profile */
function pidOf(profile) {
  const mine = readdirSync('/proc').filter((name) => /^\d+$/.test(name)).filter((pid) => {
    try {
      const words = readFileSync(`/proc/${pid}/cmdline`, 'utf8').split('\0');
      return words.includes(`--user-data-dir=${profile}`) && !words.some((word) => word.startsWith('--type='));
    } catch {
      return false;
    }
  });
  assert.equal(mine.length, 1, 'one browser uses the profile');
  return Number(mine[0]);
}

/** @param {import('../run.mjs').Given} given */
export async function run(given) {
  const front = await frontOf(given.base);
  const profile = mkdtempSync(join(tmpdir(), 'fusewright-phone-'));
  const desk = await deskOf(given);
  try {
    return await walk(given, desk, front, profile);
  } finally {
    await front.close();
    rmSync(profile, { recursive: true, force: true });
    await desk.context.close();
  }
}

/**
 * @param {import('../run.mjs').Given} given @param {Awaited<ReturnType<typeof deskOf>>} desk
 * @param {Awaited<ReturnType<typeof frontOf>>} front @param {string} profile
 */
async function walk({ signIns: { technician }, size }, desk, front, profile) {
  const job = await desk.openJob(technician.name, 'KB 26 DIE');
  const sheet = `${front.base}${job}/sheet`;
  const before = await desk.record(job);
  const start = async () => {
    const options = { executablePath: CHROMIUM, args: FLAGS, viewport: size };
    const context = await chromium.launchPersistentContext(profile, options);
    const gone = new Promise((resolve) => { context.on('close', resolve); });
    const kill = async () => {
      process.kill(pidOf(profile), 'SIGKILL');
      await gone;
    };
    return { context, page: context.pages()[0], kill };
  };

  const first = await start();
  await signIn(first.page, front.base, technician);
  await jobsAreReady(first.page);
  front.letSync(false);
  await openSheet(first.page, sheet);
  const keys = (await keysOf(first.page, 'confirm')).slice(0, 3);
  for (const key of keys.slice(1)) await record(first.page, key);
  const last = await openStep(first.page, keys[0]);
  await last.locator('input[name="value"]').check();
  await last.locator('[data-save]').click();
  await first.page.locator('[data-entry]').nth(keys.length - 1).waitFor({ state: 'attached' });
  await first.kill();

  // A cookie that was set a moment before may be lost with the browser; what was saved is not.
  const second = await start();
  await second.page.goto(`${front.base}/waiting`);
  await second.page.locator('[data-waiting-part="waiting"] .held-row').nth(keys.length - 1).waitFor();
  await signInAgain(second.page, front.base, technician);
  await openSheet(second.page, sheet);
  await remarkOften(second.page, { job: job.replace('/jobs/', ''), step: keys[0], count: MANY });
  // The first batch comes through and its answer does not: the browser is dead by then.
  const arrived = front.holdAnswer('/sync');
  front.letSync(true);
  await second.page.evaluate(() => window.dispatchEvent(new Event('online')));
  await arrived;
  await second.kill();
  front.letAnswer();
  const between = (await desk.record(job)).count - before.count;
  assert.ok(between > 0 && between < MANY + keys.length, `${between} had arrived`);

  const third = await start();
  await third.page.goto(`${front.base}/waiting`);
  await signInAgain(third.page, front.base, technician);
  await third.page.goto(`${front.base}/waiting`);
  await third.page.locator('[data-waiting-words]', { hasText: 'is with the server' }).waitFor();
  const rows = await rowsOn(third.page);
  assert.ok(rows.every(({ state }) => state === 'sent'));
  assert.equal((await desk.record(job)).count - before.count, MANY + keys.length, 'each once');
  await desk.putAside(job);
  await third.context.close();
  return `${MANY + keys.length} entries, ${between} of them sent before the second death, each once`;
}

/** @param {import('playwright-core').Page} page @param {string} base @param {import('../demo.mjs').SignIn} who */
async function signInAgain(page, base, who) {
  await page.goto(`${base}/jobs`);
  if (new URL(page.url()).pathname !== '/jobs') await signIn(page, base, who);
  await jobsAreReady(page);
}
