// @ts-check
/**
 * One phone, two people, no signal: each records under their own name, nothing goes out under the other's, and
 * neither sees pages that were kept for the other.
 */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { PHONE } from '../demo.mjs';
import { deskOf } from './desk.mjs';
import { barSays, jobsAreReady, keysOf, openSheet, record, rowsOn } from './pocket.mjs';

export const title = 'Two people share one phone';
export const ways = [{ name: 'phone', size: PHONE, javascript: true }];

/** @typedef {import('playwright-core').Page} Page */
/** @typedef {Awaited<ReturnType<typeof deskOf>>} Desk */

/** A new PIN. @param {Desk} desk @param {string} name */
async function pinOf(desk, name) {
  const people = await desk.read('/people');
  const give = new RegExp(`href="#([^"]+)">[^<]+</a></th><td data-label="Signs in as">${name}<`).exec(people);
  const care = new RegExp(`id="${give?.[1]}"[\\s\\S]*?action="(/people/[^"]+/pin)"`).exec(people);
  assert.ok(care, `a manager gives ${name} a PIN`);
  const page = await (await desk.post(care[1], {})).text();
  return /code--large">([\d ]+)</.exec(page)?.[1] ?? '';
}

/** @param {Page} page @param {string} name @param {string} pin */
async function takeOver(page, name, pin) {
  await page.locator('.choice__option', { hasText: name }).click();
  await page.locator('#pin').fill(pin);
  await page.getByRole('button', { name: 'Take over' }).click();
}

/** Wrong PINs, each told how many are left of five. @param {Page} page @param {string} name @param {number} times */
async function guess(page, name, times) {
  for (let left = 4; left > 4 - times; left -= 1) {
    await takeOver(page, name, '000000');
    await page.locator('#pin-error', { hasText: `${left} ${left === 1 ? 'try is' : 'tries are'} left` }).waitFor();
  }
}

/** @param {import('../run.mjs').Given} given */
export async function run(given) {
  const { browser, base, size } = given;
  const desk = await deskOf(given);
  const [tomaszs, iness] = [await desk.openJob('tomasz', 'SP 26 TOM'), await desk.openJob('ines', 'SP 26 INE')];
  const pins = { Tomasz: await pinOf(desk, 'tomasz'), Ines: await pinOf(desk, 'ines') };
  const context = await browser.newContext({ viewport: size });
  const page = await context.newPage();
  await enrol(page, desk, base);
  await takeOver(page, 'Ines', pins.Ines);
  await page.waitForURL(/\/jobs$/);
  await jobsAreReady(page);
  await page.goto(`${base}/switch`);
  await checkPage(page);
  await takeOver(page, 'Tomasz', pins.Tomasz);
  await page.waitForURL(/\/jobs$/);
  await jobsAreReady(page);
  const before = { tomasz: await desk.record(tomaszs), ines: await desk.record(iness) };

  await context.setOffline(true);
  const his = await recordThree(page, base + tomaszs);
  await page.goto(`${base}/switch`);
  await guess(page, 'Ines', 4);
  await checkPage(page);
  await takeOver(page, 'Ines', pins.Ines);
  await page.waitForURL(/\/jobs$/);
  await page.locator(`[data-along-list] a[href="${iness}/sheet"]`).waitFor();
  assert.equal(await page.locator('body').getAttribute('data-person-name'), 'Ines Marchand', 'the list is hers');
  await page.goto(`${base}${tomaszs}/sheet`);
  await page.getByText('No signal').first().waitFor();
  const hers = await recordThree(page, base + iness);
  await page.goto(`${base}/switch`);
  await guess(page, 'Tomasz', 5);
  await takeOver(page, 'Tomasz', pins.Tomasz);
  await page.locator('#pin-error', { hasText: '5 wrong PINs' }).waitFor();
  await page.goto(`${base}/waiting`);
  await page.locator('[data-waiting-part="others"] .held-row').nth(his - 1).waitFor();
  assert.equal(await page.locator('[data-waiting-part="waiting"] .held-row').count(), hers);
  await checkPage(page);
  await backWithSignal({ context, page }, desk, { base, pins, tomaszs, iness, before });
  await signOut(page, desk, { base, pins, tomaszs });
  await desk.putAside(tomaszs, iness);
  await context.close();
  await desk.context.close();
  return `${his} and ${hers} entries, each under its own name`;
}

/** @param {Page} page @param {Desk} desk @param {string} base */
async function enrol(page, desk, base) {
  const made = await (await desk.post('/phones/codes', {})).text();
  const code = /class="code">([^<]+)</.exec(made)?.[1] ?? '';
  await page.goto(`${base}/enrol`);
  await page.locator('input[name="code"]').fill(code);
  await page.locator('input[name="label"]').fill('Bay 3');
  await page.getByRole('button', { name: 'Enrol this phone' }).click();
  await page.waitForURL(/\/switch/);
}

/** @param {Page} page @param {string} job */
async function recordThree(page, job) {
  await openSheet(page, `${job}/sheet`);
  const keys = (await keysOf(page, 'confirm')).slice(0, 3);
  for (const key of keys) await record(page, key);
  return keys.length;
}

/**
 * @param {{ context: import('playwright-core').BrowserContext, page: Page }} phone @param {Desk} desk
 * @param {{ base: string, pins: Record<string, string>, tomaszs: string, iness: string, before: Record<string, { count: number }> }} given
 */
async function backWithSignal({ context, page }, desk, { base, pins, tomaszs, iness, before }) {
  // The server still has Tomasz's session; the phone is in Ines's hand.
  await context.setOffline(false);
  await page.locator('[data-waiting-words]', { hasText: 'Somebody else is signed in' }).waitFor();
  assert.equal((await desk.record(tomaszs)).count, before.tomasz.count, 'nobody was asked for, so nothing is sent');
  assert.equal((await desk.record(iness)).count, before.ines.count);
  await page.getByRole('link', { name: 'Switch to send' }).waitFor();
  await checkPage(page);
  await page.goto(`${base}/jobs`);
  await page.waitForURL(/\/switch\?person=/);
  assert.ok(await page.getByLabel('Ines Marchand').isChecked(), 'it asks for her');
  await takeOver(page, 'Ines', pins.Ines);
  await page.waitForURL(/\/jobs$/);
  await barSays(page, 'All sent');
  assert.equal((await desk.record(iness)).count, before.ines.count + 3);
  assert.equal((await desk.record(tomaszs)).count, before.tomasz.count, 'his wait for him');
  await page.goto(`${base}/switch`);
  await takeOver(page, 'Tomasz', pins.Tomasz);
  await page.waitForURL(/\/jobs$/);
  await barSays(page, 'All sent');
  const [tomasz, ines] = [await desk.record(tomaszs), await desk.record(iness)];
  assert.equal(tomasz.count, before.tomasz.count + 3);
  assert.ok(tomasz.html.includes('Tomasz Brandl') && !tomasz.html.includes('Ines Marchand'), 'under his name');
  assert.ok(ines.html.includes('Ines Marchand') && !ines.html.includes('Tomasz Brandl'), 'under hers');
}

/** Kept pages go, what was recorded stays. @param {Page} page @param {Desk} desk @param {{ base: string, pins: Record<string, string>, tomaszs: string }} given */
async function signOut(page, desk, { base, pins, tomaszs }) {
  const context = page.context();
  const before = await desk.record(tomaszs);
  await openSheet(page, `${base}${tomaszs}/sheet`);
  const key = (await keysOf(page, 'confirm')).at(-1) ?? '';
  await context.route('**/sync', (route) => route.abort());
  await record(page, key);
  await barSays(page, '1 on this phone');
  const kept = () => page.evaluate(async () => (await caches.keys()).filter((name) => name.startsWith('pages-')).length);
  await page.goto(`${base}/jobs`);
  assert.equal(await kept(), 2, 'pages are kept for each apart');
  await page.locator('.bar__menu').click();
  await page.getByRole('button', { name: 'Sign out' }).click();
  await page.waitForURL(/\/switch$/);
  assert.equal(await kept(), 1, 'his pages are gone, hers are not');
  assert.deepEqual((await rowsOn(page)).filter(({ state }) => state === 'waiting').map(({ step }) => step), [key]);
  await context.setOffline(true);
  await page.goto(`${base}/jobs`);
  await page.getByText('No signal').first().waitFor();
  await page.goto(`${base}/switch`);
  await context.setOffline(false);
  await context.unroute('**/sync');
  await takeOver(page, 'Tomasz', pins.Tomasz);
  await page.waitForURL(/\/jobs$/);
  await barSays(page, 'All sent');
  assert.equal((await desk.record(tomaszs)).count, before.count + 1);
  await jobsAreReady(page);
  await context.setOffline(true);
  await openSheet(page, `${base}${tomaszs}/sheet`);
  await context.setOffline(false);
}
