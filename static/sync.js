// @ts-check
/**
 * Sends what waits in the outbox of one person. Runs in a page and in the worker alike.
 *
 * Every row is sent until the server has answered it. That some are sent twice is harmless: the server
 * knows them by their id. Small rows go first, then each photo with the row that names it, and a signed
 * submit only when nothing of its job waits any more.
 */

import { Stop, ask, parsed } from './ask.js';
import { dropPhoto, listRows, settle } from './outbox.js';
import { writeMeta } from './store.js';
import { sendPhotos } from './upload.js';

/**
 * @typedef {import('./ask.js').Ending} Ending
 * @typedef {import('./outbox.js').Row} Row
 */

const BATCH_ROWS_MAX = 25;
const BATCH_CHARS_MAX = 48_000;

/**
 * @param {string} person  whose rows are sent; the server compares with who is signed in
 * @returns {Promise<{ ending: Ending, waitMs: number }>}
 */
export async function sendAll(person) {
  try {
    const isMine = (/** @type {Row} */ row) => row.person === person && row.state === 'waiting';
    const rows = (await listRows()).filter(isMine);
    const light = rows.filter(({ photos, kind }) => photos.length === 0 && kind !== 'submit');
    let waiting = rows.length;
    for (const batch of batches(light)) {
      waiting -= batch.length;
      await sendBatch(person, batch, waiting);
    }
    for (const row of rows.filter(({ photos }) => photos.length > 0)) {
      waiting -= 1;
      await sendWithPhotos(person, row, waiting);
    }
    const left = (await listRows()).filter(isMine);
    for (const row of left.filter(({ kind }) => kind === 'submit')) {
      const isLast = left.every((other) => other.job !== row.job || other.place >= row.place);
      if (isLast) await sendBatch(person, [row], left.length - 1);
    }
    const isMore = (await listRows()).some(isMine);
    return { ending: isMore ? 'later' : 'done', waitMs: 0 };
  } catch (why) {
    if (why instanceof Stop) return { ending: why.ending, waitMs: why.waitMs };
    throw why;
  }
}

/** Rows of one job each, in their order. @param {Row[]} rows @returns {Row[][]} */
function batches(rows) {
  const byJob = [...rows].sort((one, other) => one.job.localeCompare(other.job) || one.place - other.place);
  /** @type {Row[][]} */
  const all = [];
  let chars = 0;
  for (const row of byJob) {
    const last = all.at(-1);
    chars += row.body.length;
    const fits = last && last[0].job === row.job && last.length < BATCH_ROWS_MAX && chars <= BATCH_CHARS_MAX;
    if (fits) {
      last.push(row);
    } else {
      all.push([row]);
      chars = row.body.length;
    }
  }
  return all;
}

/** @param {string} person @param {Row} row @param {number} waiting */
async function sendWithPhotos(person, row, waiting) {
  const fault = await sendPhotos(person, row.photos);
  if (fault) {
    await settle([{ id: row.id, state: 'refused', reason: fault }]);
    return;
  }
  const isWaiting = await sendBatch(person, [row], waiting);
  // Not before: a server that still waits for them has to get them once more.
  if (!isWaiting) for (const sha256 of row.photos) await dropPhoto(sha256);
}

/**
 * @param {string} person @param {Row[]} rows @param {number} waiting  still on this phone behind these, for the office to see
 * @returns {Promise<boolean>}  some of them wait on
 */
async function sendBatch(person, rows, waiting) {
  const [{ job }] = rows;
  const answer = await ask('/sync', {
    method: 'POST',
    headers: { 'content-type': 'application/json', 'x-expect-person': person },
    body: JSON.stringify({ job, clock: Date.now(), waiting, entries: rows.map(({ body }) => body) }),
  });
  const found = await parsed(answer);
  if (answer.status === 409) throw new Stop(found.type === 'conflict' ? 'other-person' : 'later');
  if (answer.status !== 200) return split(person, rows, found, waiting);
  if (!Array.isArray(found.answers) || found.answers.length !== rows.length) throw new Stop('later');
  const news = rows.map((row, at) => became(row, found.answers[at]));
  const date = Date.parse(answer.headers.get('date') ?? '');
  try {
    await settle(news);
    await writeMeta(`sheet:${job}`, found.sheet ?? 0);
    if (date) await writeMeta('clockOff', Date.now() - date);
  } catch (why) {
    // No room to write it down: they are sent once more when photos that went meanwhile have made some.
    if (/** @type {DOMException} */ (why).name !== 'QuotaExceededError') throw why;
  }
  return news.some(({ state }) => state === 'waiting');
}

/**
 * @param {Row} row
 * @param {{ state: string, seq?: number, reason?: string, verdict?: import('./outbox.js').Judged } | null} answer
 * @returns {{ id: string, state: import('./outbox.js').State, reason?: string, seq?: number, verdict?: import('./outbox.js').Judged | null }}
 */
function became(row, answer) {
  const { id } = row;
  const { state, seq = -1, reason = '', verdict } = answer ?? {};
  if (state === 'refused') return { id, state, reason };
  if (state === 'recorded' || state === 'already') return { id, state: 'sent', seq, verdict: verdict ?? row.verdict };
  // It waits for its photo, or the answer is of a kind that this page does not know yet.
  return { id, state: 'waiting', reason };
}

/**
 * The server took the whole batch back: halves are sent until the one it means stands alone.
 * @param {string} person @param {Row[]} rows @param {{ type?: string, detail?: string }} problem @param {number} waiting
 * @returns {Promise<boolean>}  some of them wait on
 */
async function split(person, rows, problem, waiting) {
  // Without these words it was somebody else who answered.
  if (!problem.type || !problem.detail) throw new Stop('later');
  if (rows.length === 1) {
    await settle([{ id: rows[0].id, state: 'refused', reason: problem.detail }]);
    return false;
  }
  const middle = Math.ceil(rows.length / 2);
  const isFirstWaiting = await sendBatch(person, rows.slice(0, middle), waiting);
  return (await sendBatch(person, rows.slice(middle), waiting)) || isFirstWaiting;
}
