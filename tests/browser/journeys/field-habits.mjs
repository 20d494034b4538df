// @ts-check
/**
 * What the phone does beside the page while a string is measured: the screen stays on, a key changes the sign,
 * Save stays in reach, and the verdict is felt. The phone's own parts are played by the test.
 */

import assert from 'node:assert/strict';
import { checkPage } from '../check-page.mjs';
import { PHONE } from '../demo.mjs';
import { isWired, signIn } from './hand.mjs';

export const title = 'A reading on a phone';
export const ways = [{ name: 'phone with a finger', size: PHONE, javascript: true }];

/** @typedef {{ asked: number, released: number, felt: number[][] }} Told */

/** Runs before the page's scripts. */
function playPhone() {
  /** @type {Told} */
  const told = { asked: 0, released: 0, felt: [] };
  const wakeLock = {
    request: async () => {
      told.asked += 1;
      const lock = new EventTarget();
      return Object.assign(lock, { release: async () => { told.released += 1; } });
    },
  };
  Object.defineProperty(navigator, 'wakeLock', { value: wakeLock });
  Object.defineProperty(navigator, 'vibrate', { value: (/** @type {number[]} */ felt) => told.felt.push(felt) });
  Object.assign(globalThis, { told });
}

/** @param {import('playwright-core').Page} page @returns {Promise<Told>} */
const tell = (page) => page.evaluate('told');

/** The address of a sheet opened at its string. @param {import('playwright-core').Page} page @param {string} base */
async function addressOfString(page, base) {
  await page.goto(`${base}/jobs`);
  const links = await page.locator('a[href^="/jobs/"]').evaluateAll((all) => all.map((a) => a.getAttribute('href')));
  const jobs = new Set(links.map((link) => /^\/jobs\/[0-9a-f-]{36}/.exec(link ?? '')?.[0]));
  for (const job of jobs) {
    if (!job) continue;
    await page.goto(`${base}${job}/sheet`);
    const key = await page.evaluate(() => {
      const all = [document, ...Array.from(document.querySelectorAll('template'), ({ content }) => content)];
      const form = all.map((part) => part.querySelector('form[data-kind="solar_open"]')).find(Boolean);
      return form?.getAttribute('data-step');
    });
    if (key) return `${base}${job}/sheet?open=${key}`;
  }
  throw new Error('the demo has no string to measure');
}

/** Opened anew, as the server has it. @param {import('playwright-core').Page} page @param {string} address */
async function openString(page, address) {
  await page.goto(address);
  await isWired(page);
  return page.locator('.step__fold[open] form');
}

/** @param {import('playwright-core').Locator} button @param {import('playwright-core').Page} page */
async function isInReach(button, page) {
  const box = await button.boundingBox();
  const height = page.viewportSize()?.height ?? 0;
  return box !== null && box.y > height / 2 && box.y + box.height <= height;
}

/**
 * Measures the string and saves; what was felt.
 * @param {import('playwright-core').Page} page @param {string} address @param {string} volts
 */
async function feltAfter(page, address, volts) {
  const form = await openString(page, address);
  await form.locator('input[name="value"]').fill(volts);
  await form.locator('input[name="cell"]').fill('25');
  await form.locator('[data-save]').tap();
  await page.locator('[data-held]', { hasText: 'All sent' }).waitFor();
  return (await tell(page)).felt;
}

/** @param {import('../run.mjs').Given} given */
export async function run({ browser, base, signIns, size }) {
  const phone = { viewport: size, hasTouch: true, isMobile: true };
  const context = await browser.newContext(phone);
  const page = await context.newPage();
  await page.addInitScript(playPhone);
  await signIn(page, base, signIns.technician);
  const address = await addressOfString(page, base);
  const form = await openString(page, address);
  const [value, cell] = ['value', 'cell'].map((name) => form.locator(`input[name="${name}"]`));
  const save = form.locator('[data-save]');
  await checkPage(page);
  await form.evaluate((element) => element.closest('details')?.scrollIntoView({ block: 'start' }));
  assert.ok(await isInReach(save, page), 'Save is in reach at the top of a step longer than the screen');

  const keys = form.getByRole('button', { name: 'Change the sign' });
  assert.equal(await keys.count(), 2);
  for (const key of await keys.all()) {
    const box = await key.boundingBox();
    assert.ok(box && box.width >= 48 && box.height >= 48, JSON.stringify(box));
  }
  await value.tap();
  await page.keyboard.type('44,8');
  await keys.first().tap();
  assert.equal(await value.inputValue(), '-44,8');
  assert.ok(await value.evaluate((field) => document.activeElement === field), 'the field keeps the focus');
  await page.keyboard.type('1');
  assert.equal(await value.inputValue(), '-44,81', 'and the caret its place');
  assert.equal((await tell(page)).asked, 1, 'the screen is kept on, once');

  await cell.fill('25');
  await form.locator('output', { hasText: 'Wrong polarity' }).waitFor();
  await page.setViewportSize({ width: size.width, height: 400 });
  assert.ok(await isInReach(save, page), 'Save is in reach above an open keyboard');
  await page.setViewportSize(size);

  assert.equal((await tell(page)).released, 0, 'the screen stays on while a reading is taken');
  await save.tap();
  await page.locator('[data-held]', { hasText: 'All sent' }).waitFor();
  const failed = await tell(page);
  assert.deepEqual(failed.felt, [[240, 80, 40]], 'a fail is felt');
  assert.ok(failed.released >= 1, 'the screen may go dark');
  assert.deepEqual(await feltAfter(page, address, '44,81'), [[40]], 'a pass is felt');
  assert.deepEqual(await feltAfter(page, address, '44,80'), [], 'nothing new is not felt');
  await page.emulateMedia({ reducedMotion: 'reduce' });
  assert.deepEqual(await feltAfter(page, address, '-44,81'), [], 'nothing is felt where little motion is asked for');
  await context.close();

  const desk = await browser.newContext({ viewport: size });
  const still = await desk.newPage();
  await signIn(still, base, signIns.technician);
  const plain = await openString(still, address);
  const beside = await plain.getByRole('button', { name: 'Change the sign' }).count();
  assert.equal(beside, 0, 'a mouse has a keyboard beside it');
  await desk.close();
  return 'screen, sign, reach and touch';
}
