// @ts-check
/** The program on a phone: it can be installed, and one visit of the jobs is enough to open them without signal. */

import assert from 'node:assert/strict';
import { DESK, PHONE } from '../demo.mjs';
import { deskOf } from './desk.mjs';
import { isWired } from './hand.mjs';
import { jobsAreReady } from './pocket.mjs';

export const title = 'One visit is enough, and it can be installed';
export const ways = [
  { name: 'phone', size: PHONE, javascript: true },
  { name: 'desk', size: DESK, javascript: true },
];

/** @param {import('../run.mjs').Given} given */
export async function run(given) {
  const { browser, base, size, signIns } = given;
  const desk = await deskOf(given);
  const job = await desk.openJob(signIns.technician.name, 'FV 26 ONE');
  const context = await browser.newContext({ viewport: size });
  // Signed in without any page: the list of jobs is the first that this browser ever loads.
  const headers = { 'sec-fetch-site': 'same-origin' };
  await context.request.post(`${base}/sign-in`, { form: { ...signIns.technician }, headers });
  const page = await context.newPage();
  await page.goto(`${base}/jobs`);
  assert.equal(await page.evaluate(() => navigator.serviceWorker.controller), null, 'this page came before the worker');
  await jobsAreReady(page);
  const images = await canBeInstalled(page);

  await context.setOffline(true);
  await page.goto(`${base}/jobs`);
  await page.locator(`.job-row[href="${job}"]`).waitFor();
  assert.ok(await page.evaluate(() => navigator.serviceWorker.controller?.scriptURL.endsWith('/sw.js')));
  await page.locator(`[data-along-list] a[href="${job}/sheet"]`).click();
  await isWired(page);
  const fonts = await page.evaluate(() => document.fonts.ready.then((all) => [...all].filter((font) => font.status === 'error').length));
  assert.equal(fonts, 0, 'the fonts are here too');
  await page.goto(`${base}/`);
  await page.getByText('No signal').first().waitFor();
  await context.close();
  await desk.putAside(job);
  await desk.context.close();
  return `${images} icons`;
}

/** Name, colours, a start that is in scope, and icons of the sizes that it says. @param {import('playwright-core').Page} page */
async function canBeInstalled(page) {
  const { manifest, icons } = await page.evaluate(async () => {
    const href = /** @type {HTMLLinkElement} */ (document.querySelector('link[rel="manifest"]')).href;
    const found = await (await fetch(href)).json();
    const sizes = await Promise.all(found.icons.map(async (/** @type {{ src: string }} */ { src }) => {
      const picture = new Image();
      picture.src = new URL(src, href).href;
      await picture.decode();
      return `${picture.naturalWidth}x${picture.naturalHeight}`;
    }));
    return { manifest: found, icons: sizes };
  });
  for (const part of ['name', 'short_name', 'id', 'description', 'background_color', 'theme_color']) assert.ok(manifest[part], part);
  assert.equal(manifest.display, 'standalone');
  assert.equal(manifest.start_url, '/jobs');
  assert.equal(manifest.scope, '/');
  for (const [at, { sizes }] of manifest.icons.entries()) if (sizes !== 'any') assert.equal(icons[at], sizes);
  const has = (/** @type {string} */ size, /** @type {string | undefined} */ purpose) => manifest.icons.some(
    (/** @type {{ sizes: string, purpose?: string }} */ icon) => icon.sizes === size && icon.purpose === purpose,
  );
  assert.ok(has('192x192', undefined) && has('512x512', undefined) && has('512x512', 'maskable'));
  const apple = await page.evaluate(async () => {
    const picture = new Image();
    picture.src = /** @type {HTMLLinkElement} */ (document.querySelector('link[rel="apple-touch-icon"]')).href;
    await picture.decode();
    return picture.naturalWidth;
  });
  assert.equal(apple, 180);
  return manifest.icons.length;
}
