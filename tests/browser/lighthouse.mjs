// @ts-check
/**
 * Lighthouse on the pages people have open most: sheet and list of jobs as on a phone, review as on a desk.
 * Accessibility and best practices must be without a flaw; speed is printed, for it depends on the machine.
 */

import { mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import lighthouse, { desktopConfig } from 'lighthouse';
import { chromium } from 'playwright-core';
import { CHROMIUM, FLAGS, addressOf, onStage } from './demo.mjs';
import { signIn } from './journeys/hand.mjs';

const CATEGORIES = ['performance', 'accessibility', 'best-practices'];
const FLAWLESS = ['accessibility', 'best-practices'];
const RUNS_MAX = 3;
/** Jobs of the demo, as it numbers them. */
const JOB = { forReview: 3, ready: 8 };

/** A port that is free now. @returns {Promise<number>} */
const freePort = () => new Promise((resolve, reject) => {
  const server = createServer().once('error', reject).listen(0, '127.0.0.1', () => {
    const address = server.address();
    server.close(() => resolve(typeof address === 'object' && address ? address.port : 0));
  });
});

/** What took points from a category. @param {import('lighthouse').Result} lhr @param {string} category */
function flaws(lhr, category) {
  return lhr.categories[category].auditRefs
    .filter(({ id, weight }) => weight > 0 && (lhr.audits[id].score ?? 1) < 1)
    .map(({ id }) => `  ${id}: ${lhr.audits[id].title}\n    ${JSON.stringify(lhr.audits[id].details ?? {}).slice(0, 600)}`);
}

/**
 * A trace that Lighthouse itself could not record says nothing of the page: it asks to be run again, and is.
 * @param {string} name @param {string} url @param {number} port @param {import('lighthouse').Config} [config]
 * @returns {Promise<import('lighthouse').Result>}
 */
async function resultOf(name, url, port, config) {
  let why = 'Lighthouse gave no answer';
  for (let run = 0; run < RUNS_MAX; run += 1) {
    const flags = { port, onlyCategories: CATEGORIES, disableStorageReset: true, logLevel: /** @type {const} */ ('error') };
    const lhr = (await lighthouse(url, flags, config))?.lhr;
    if (lhr && !lhr.runtimeError) return lhr;
    why = lhr?.runtimeError?.message ?? why;
  }
  throw new Error(`${name}: ${why}`);
}

/**
 * @param {string} name @param {string} url @param {number} port @param {import('lighthouse').Config} [config]
 * @returns {Promise<string[]>} what is not without a flaw
 */
async function look(name, url, port, config) {
  const lhr = await resultOf(name, url, port, config);
  if (lhr.finalDisplayedUrl !== url) throw new Error(`${name}: looked at ${lhr.finalDisplayedUrl} and not at ${url}`);
  const scores = CATEGORIES.map((category) => `${category} ${(lhr.categories[category].score ?? 0).toFixed(2)}`);
  console.log(`${name.padEnd(16)} ${scores.join(', ')}`);
  return FLAWLESS.flatMap((category) => flaws(lhr, category).map((flaw) => `${name}, ${category}:\n${flaw}`));
}

await onStage(async ({ base, signIns }) => {
  const profile = mkdtempSync(join(tmpdir(), 'fusewright-lighthouse-'));
  const port = await freePort();
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: CHROMIUM, args: [...FLAGS, `--remote-debugging-port=${port}`],
  });
  try {
    const page = await context.newPage();
    await signIn(page, base, signIns.manager);
    const [ready, forReview] = [await addressOf(page, base, JOB.ready), await addressOf(page, base, JOB.forReview)];
    const found = [
      ...await look('sheet, phone', `${ready}/sheet`, port),
      ...await look('jobs, phone', `${base}/jobs`, port),
      ...await look('review, desk', `${forReview}/review`, port, desktopConfig),
    ];
    for (const words of found) console.log(`FAIL  ${words}`);
    process.exitCode = found.length === 0 ? 0 : 1;
  } finally {
    await context.close();
    rmSync(profile, { recursive: true, force: true });
  }
});
