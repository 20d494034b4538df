// @ts-check
/** A technician's phone in the journeys: signed in, with the jobs taken along, and a look into its outbox. */

import assert from 'node:assert/strict';
import { fill, isWired, picture, signIn } from './hand.mjs';
import { PAPER } from './main-job.mjs';

/**
 * @typedef {import('playwright-core').Page} Page
 * @typedef {import('playwright-core').BrowserContext} Context
 * @typedef {import('../demo.mjs').SignIn} SignIn
 * @typedef {import('../../../static/outbox.js').Row} Row
 */

/**
 * A phone with its jobs on it.
 * @param {import('../run.mjs').Given} given @param {SignIn} who
 * @param {import('playwright-core').BrowserContextOptions} [more]
 * @param {boolean} [hasJobs]  somebody who has none of their own waits for none
 */
export async function phoneOf({ browser, base, size }, who, more = {}, hasJobs = true) {
  const context = await browser.newContext({ viewport: size, ...more });
  const page = await context.newPage();
  await signIn(page, base, who);
  if (hasJobs) await jobsAreReady(page);
  return { context, page };
}

/** The list says what can be opened without signal. @param {Page} page */
export const jobsAreReady = (page) => page.locator('[data-along-words]', { hasText: 'ready for the vehicle' }).waitFor();

/** @param {Page} page @param {string | RegExp} words */
export const barSays = (page, words) => page.locator('[data-held]:not([hidden])', { hasText: words }).first().waitFor();

/** The page's own script: it hands out its modules, as the page has them. @param {Page} page */
export const scriptOf = (page) => page.locator('script[type="module"]').first().evaluate(
  (script) => /** @type {HTMLScriptElement} */ (script).src,
);

/** What the outbox holds. @param {Page} page @returns {Promise<Row[]>} */
export async function rowsOn(page) {
  const script = await scriptOf(page);
  return page.evaluate(async (from) => (await import(from)).$outbox.listRows(), script);
}

/** What the page on the screen shows is forgotten. @param {Page} page */
export async function outboxIsEmpty(page) {
  const script = await scriptOf(page);
  await page.waitForFunction(async (from) => (await (await import(from)).$outbox.listRows()).length === 0, script);
}

/**
 * Many remarks about one step at once, by the page's own modules, as if each had been typed.
 * @param {Page} page @param {{ job: string, step: string, count: number, of?: string }} what  `of`: the job that the bodies name
 */
export async function remarkOften(page, what) {
  const script = await scriptOf(page);
  return page.evaluate(async ({ from, job, step, count, of }) => {
    const { $outbox: { append }, $body: { bodyText, deviceTime }, $ids: { newId }, $sender: { changed } } = await import(from);
    const { person = '', personName = '' } = document.body.dataset;
    const rows = Array.from({ length: count }, (_, at) => {
      const id = newId();
      const text = `Remark ${at + 1}`;
      const payload = { kind: 'remark', text, photos: [] };
      const body = bodyText({ id, job: of ?? job, sheet: 1, step, at: deviceTime(), payload });
      const words = { number: '0', title: 'A step', kind: 'remark', value: text };
      return { id, person, personName, job, step, body, at: Date.now(), photos: [], verdict: null, ...words };
    });
    await append(rows, []);
    await changed();
    return rows.map(({ id }) => id);
  }, { from: script, ...what });
}

/** @param {Page} page @param {string} key */
export const stepOf = (page, key) => page.locator(`.step[data-key="${key}"]`);

/** Opens a step as a finger does, and the form of one that is recorded. @param {Page} page @param {string} key */
export async function openStep(page, key) {
  const step = stepOf(page, key);
  if (await step.locator('> details').getAttribute('open') === null) await step.locator('> details > summary').click();
  const again = step.locator('[data-again]');
  if (await again.locator('> summary').isVisible() && await again.getAttribute('open') === null) await again.locator('> summary').click();
  return step.locator('form[data-step]');
}

/** Saves, and waits for what the person sees: the entry in the step. @param {Page} page @param {import('playwright-core').Locator} form */
export async function saveHere(page, form) {
  const key = (await form.getAttribute('data-step')) ?? '';
  const entries = stepOf(page, key).locator('[data-entry]');
  const before = await entries.count();
  await form.locator('[data-save]').click();
  await entries.nth(before).waitFor({ state: 'attached' });
  await page.waitForFunction(() => !document.querySelector('form[data-busy]'));
}

/** Fills a step as the paper says and saves it. @param {Page} page @param {string} key @param {(form: import('playwright-core').Locator) => Promise<void>} [instead] */
export async function record(page, key, instead) {
  const form = await openStep(page, key);
  const name = (await stepOf(page, key).locator('.step__title').textContent()) ?? '';
  const photo = await form.getAttribute('data-kind') === 'photo' ? await picture(page) : Buffer.alloc(0);
  await fill(form, PAPER, name, photo);
  await instead?.(form);
  await saveHere(page, form);
}

/** Keys of the steps of a kind, in their order. @param {Page} page @param {string} kind */
export const keysOf = (page, kind) => page.locator('.step').evaluateAll((steps, wanted) => steps
  .filter((step) => {
    const form = step.querySelector('form') ?? step.querySelector('template')?.content.querySelector('form');
    return form?.getAttribute('data-kind') === wanted;
  })
  .map((step) => step.getAttribute('data-key') ?? ''), kind);

/** @param {Page} page @param {string} address */
export async function openSheet(page, address) {
  await page.goto(address);
  await isWired(page);
}

/** Each row stands on its step once, as recorded. @param {Page} page @param {Row[]} rows @param {string} words  of its state */
export async function arePainted(page, rows, words) {
  const painted = await page.locator('[data-entry]').evaluateAll((entries) => entries.map((entry) => ({
    id: entry.getAttribute('data-entry'),
    step: entry.closest('.step')?.getAttribute('data-key'),
    value: entry.querySelector('.history__value')?.textContent,
    who: entry.querySelector('.history__who')?.textContent ?? '',
  })));
  const onSteps = rows.filter(({ step }) => step);
  assert.equal(painted.length, onSteps.length, 'each is painted once');
  for (const { id, step, value } of onSteps) {
    const entry = painted.find((one) => one.id === id);
    assert.ok(entry && entry.who.endsWith(words), `${step} is painted as ${words}: ${entry?.who}`);
    assert.deepEqual([entry.step, entry.value], [step, value]);
  }
}
