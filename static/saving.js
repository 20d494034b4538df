// @ts-check
/**
 * Saving a step, with signal or without: first onto this phone, then onto the screen, then to the server.
 * "Saved" is said only when it is on disk.
 */

import { bodyText, deviceTime } from './body.js';
import { newId } from './ids.js';
import { append } from './outbox.js';
import { formOf, readForm } from './payload.js';
import { judgedHere, valueWords } from './result.js';
import { changed, sendNow } from './sender.js';
import { readMeta } from './store.js';

/**
 * @typedef {import('./outbox.js').NewRow} NewRow
 * @typedef {import('./outbox.js').Photo} Photo
 * @typedef {import('./payload.js').Payload} Payload
 *
 * What the page says about itself.
 * @typedef {object} Page
 * @property {string} person
 * @property {string} personName
 * @property {string} job
 * @property {string} number
 */

const NOT_SAVED = 'NOT saved: this phone could not keep it';

/** @param {Page} page @param {string} step @param {string} title @param {Payload} payload @param {Partial<NewRow>} more @param {object} of @returns {NewRow} */
function row(page, step, title, payload, more, of) {
  const id = newId();
  const body = bodyText({ id, job: page.job, sheet: 0, step, at: deviceTime(), payload, ...of });
  const photos = /** @type {string[]} */ (payload.photos ?? []);
  return { id, ...page, step, title, kind: payload.kind, value: '', body, at: Date.now(), photos, verdict: null, ...more };
}

/** Pages of somebody who is not here any more must not record for them. @param {Page} page */
async function checkPerson({ person }) {
  const here = await readMeta('person');
  if (here && here !== person) {
    throw new Error('Somebody else uses this phone now. Open the jobs again and record it under your own name');
  }
}

/** @param {HTMLFormElement} form @returns {Promise<{ photos: Photo[] } | { fault: string }>} */
async function photosOf(form) {
  const photos = [];
  /** @type {NodeListOf<HTMLInputElement>} */
  const inputs = form.querySelectorAll('input[type="file"]');
  const files = Array.from(inputs).flatMap((input) => Array.from(input.files ?? []));
  if (files.length === 0) return { photos };
  // Few steps have a photo; the file is on this phone with all others.
  const { shrink } = await import('./shrink.js');
  for (const file of files) {
    const shrunk = await shrink(file);
    if ('fault' in shrunk) return shrunk;
    photos.push({ sha256: shrunk.sha256, jpeg: shrunk.buffer });
  }
  return { photos };
}

/**
 * Keeps what a step's form holds.
 * @param {HTMLFormElement} form
 * @param {Page} page
 * @param {string} title  of the step
 * @returns {Promise<{ rows: NewRow[] } | { fault: string } | { question: string }>}
 */
export async function saveStep(form, page, title) {
  try {
    await checkPerson(page);
    const taken = await photosOf(form);
    if ('fault' in taken) return taken;
    const filled = readForm(formOf(form, taken.photos.map(({ sha256 }) => sha256)));
    if (!('result' in filled)) return filled;
    const { step = '', unit = '' } = form.dataset;
    const field = (/** @type {string} */ name) => /** @type {HTMLInputElement} */ (form.elements.namedItem(name)).value;
    const of = { sheet: Number(field('sheet')), improbable: filled.improbable, supersedes: field('supersedes').split(',').filter(Boolean) };
    const { result, remark } = filled;
    const words = { value: valueWords(result, unit), verdict: judgedHere(form, result) };
    const rows = [row(page, step, title, result, words, of)];
    const beside = { sheet: of.sheet };
    if (remark) rows.push(row(page, step, title, remark, { value: valueWords(remark) }, beside));
    await append(rows, taken.photos);
    return { rows };
  } catch (why) {
    return { fault: `${NOT_SAVED} (${why instanceof Error ? why.message : why}). What you typed stands here still.` };
  }
}

/**
 * Keeps the signed submit.
 * @param {HTMLFormElement} form
 * @param {Page} page
 * @param {number} sheet  edition
 * @returns {Promise<{ rows: NewRow[] } | { fault: string }>}
 */
export async function saveSubmit(form, page, sheet) {
  try {
    await checkPerson(page);
    const fields = new FormData(form);
    const name = String(fields.get('name') ?? '').trim();
    if (!name) return { fault: 'Write your name: it signs the work.' };
    const payload = { kind: 'submit', signature: { name, strokes: String(fields.get('strokes') ?? '') } };
    const rows = [row(page, '', 'Sign and submit', /** @type {Payload} */ (/** @type {unknown} */ (payload)), { value: valueWords(payload) }, { sheet })];
    await append(rows, []);
    return { rows };
  } catch (why) {
    return { fault: `${NOT_SAVED} (${why instanceof Error ? why.message : why}). Try again.` };
  }
}

/** After it is on the screen. */
export async function sendSaved() {
  await changed();
  await sendNow();
}
