// @ts-check
/**
 * The outbox: what was recorded on this phone and may not be with the server yet.
 *
 * A row is written once; only what became of it changes. It is forgotten when the page on the screen
 * shows it, not when the server answered: a kept page may be older than the answer. What was refused is
 * never deleted by the program.
 */

import { spill, spilledRows, unspill } from './spill.js';
import { answered, transact } from './store.js';

/**
 * `waiting` to be sent, `sent`, `refused` by the server, or `aside`: refused, and put away by the person.
 * @typedef {'waiting' | 'sent' | 'refused' | 'aside'} State
 * @typedef {{ kind: string, word: string, sentence: string }} Judged
 *
 * @typedef {object} Row
 * @property {string} id
 * @property {string} person  whoever recorded it; nobody else's session sends it
 * @property {string} personName
 * @property {string} job
 * @property {string} number  of the job, for people
 * @property {string} step  its key; empty for the whole job
 * @property {string} title  of the step, for people
 * @property {string} kind  of the payload
 * @property {string} value  what was recorded, for people
 * @property {string} body  the exact text that is sent and hashed
 * @property {number} at  [ms] by the phone's clock
 * @property {string[]} photos  SHA-256 of each
 * @property {Judged | null} verdict  the phone's preview until the server answered
 * @property {State} state
 * @property {string} reason  why it was refused, or what it waits for
 * @property {number} place  order on this phone
 * @property {number} seq  place in the record of the job, once sent
 *
 * @typedef {Omit<Row, 'state' | 'reason' | 'place' | 'seq'>} NewRow
 * @typedef {{ sha256: string, jpeg: ArrayBuffer }} Photo
 */

/** @param {Row[]} rows @param {Row[]} spilled */
function together(rows, spilled) {
  const known = new Set(rows.map(({ id }) => id));
  const beside = spilled.filter(({ id }) => !known.has(id));
  return [...rows, ...beside].sort((one, other) => one.place - other.place || (one.id < other.id ? -1 : 1));
}

/** @param {IDBTransaction} all @param {NewRow[]} rows */
async function put(all, rows) {
  const meta = all.objectStore('meta');
  let place = (await answered(meta.get('place'))) ?? 0;
  for (const row of rows) {
    place += 1;
    all.objectStore('outbox').add({ ...row, place, state: 'waiting', reason: '', seq: -1 });
  }
  meta.put(place, 'place');
}

/**
 * Keeps rows and their photos together, or nothing of them.
 * @param {NewRow[]} rows
 * @param {Photo[]} photos
 */
export async function append(rows, photos) {
  try {
    await transact(['outbox', 'photos', 'meta'], 'readwrite', async (all) => {
      for (const photo of photos) all.objectStore('photos').put(photo);
      await put(all, rows);
    });
  } catch (why) {
    // The small store beside the database may have room where the database has none.
    if (photos.length > 0) throw why;
    for (const row of rows) spill(row);
  }
}

/** Takes in what had to be kept beside the database. What there is no room for yet stays there, and is sent from there. */
export async function takeSpilled() {
  for (const { place, state, reason, seq, ...row } of spilledRows()) {
    try {
      await transact(['outbox', 'meta'], 'readwrite', (all) => put(all, [row]));
      if (state !== 'waiting') await settle([{ id: row.id, state, reason, seq }]);
    } catch (why) {
      // Still no room: what is in the database must be sent all the same, to make some.
      if (/** @type {DOMException} */ (why).name !== 'ConstraintError') continue;
      // The same id is there already: the last try came further than it could say.
    }
    unspill(row.id);
  }
}

/** All rows in the order they were made. @returns {Promise<Row[]>} */
export async function listRows() {
  /** @type {Row[]} */
  const rows = await transact(['outbox'], 'readonly', (all) => answered(all.objectStore('outbox').getAll()));
  return together(rows, spilledRows());
}

/** @param {string} job */
export async function listOfJob(job) {
  /** @type {Row[]} */
  const rows = await transact(['outbox'], 'readonly', (all) => (
    answered(all.objectStore('outbox').index('job').getAll(job))));
  return together(rows, spilledRows().filter((row) => row.job === job));
}

/**
 * Writes down what became of rows, all together. Rows that are gone stay gone.
 * @param {{ id: string, state: State, reason?: string, seq?: number, verdict?: Judged | null }[]} news
 */
export async function settle(news) {
  const became = new Map(news.map((one) => [one.id, one]));
  for (const row of spilledRows()) {
    if (became.has(row.id)) spill({ ...row, reason: '', ...became.get(row.id) });
  }
  await transact(['outbox'], 'readwrite', async (all) => {
    const outbox = all.objectStore('outbox');
    for (const { id, ...became } of news) {
      const row = await answered(outbox.get(id));
      if (row) outbox.put({ ...row, reason: '', ...became });
    }
  });
}

/**
 * Forgets what the page on the screen shows: sent rows among the entries that it knows of.
 * @param {string} job
 * @param {number} count  entries of the job that the page was made from
 */
export async function forgetShown(job, count) {
  for (const row of spilledRows()) {
    if (row.job === job && row.state === 'sent' && row.seq < count) unspill(row.id);
  }
  await transact(['outbox'], 'readwrite', async (all) => {
    const outbox = all.objectStore('outbox');
    for (const row of await answered(outbox.index('job').getAll(job))) {
      if (row.state === 'sent' && row.seq < count) outbox.delete(row.id);
    }
  });
}

/** @param {string} sha256 @returns {Promise<ArrayBuffer | undefined>} */
export async function photoBytes(sha256) {
  const photo = await transact(['photos'], 'readonly', (all) => answered(all.objectStore('photos').get(sha256)));
  return photo?.jpeg;
}

/** The server has it: its bytes make room for the next ones. @param {string} sha256 */
export const dropPhoto = (sha256) => transact(['photos'], 'readwrite', (all) => {
  all.objectStore('photos').delete(sha256);
});
