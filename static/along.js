// @ts-check
/**
 * Takes every open job of the person along: sheet, cautions, plan, findings, pictures; what is no longer
 * theirs goes. The jobs page says what is ready for the vehicle, since when, and how large it is.
 */

import { ask, parsed } from './ask.js';
import { areKept, dropPage, keepPage, whileHere } from './kept.js';
import { element } from './overlay.js';
import { readMeta, writeMeta } from './store.js';

/** After so long a copy is fetched anew, even where no entry was added. */
const FRESH_MS = 4 * 3_600_000;

/**
 * @typedef {{ id: string, number: number, vehicle: string, count: number, pages: string[] }} Job
 * @typedef {Job & { at: number, bytes: number, build: string }} Ready
 */

/** @param {string} person @returns {Promise<Ready[]>} */
export const readyJobs = async (person) => (await readMeta(`ready:${person}`)) ?? [];

/** @param {string} path @returns {Promise<number>} bytes */
async function take(path) {
  const page = await fetch(path, { headers: { accept: 'text/html' }, redirect: 'error', cache: 'no-store' });
  const bytes = await keepPage(path, page);
  if (bytes === 0) throw new Error(`${path} was answered with ${page.status}`);
  return bytes;
}

/**
 * @param {string} person
 * @param {boolean} isAll  also what is fresh
 * @param {(words: string) => void} tell
 */
export async function takeAlong(person, isAll, tell) {
  const { person: whose, jobs, list, build } = await parsed(await ask('/along', {}));
  // The phone may be in other hands than the server knows: their jobs are not this person's.
  if (whose !== person) throw new Error('These are the jobs of somebody else.');
  // Whoever unlocked the phone without signal is known to the server now, by whichever way they signed in.
  if ((await readMeta('unlocked')) === person) await writeMeta('unlocked', '');
  const before = await readyJobs(person);
  /** @type {Ready[]} */
  const ready = [];
  await take(list);
  for (const job of /** @type {Job[]} */ (jobs)) {
    const had = before.find(({ id }) => id === job.id);
    const isFresh = had && had.count === job.count && had.build === build && Date.now() - had.at < FRESH_MS;
    if (isFresh && !isAll && (await areKept(job.pages))) {
      ready.push(had);
      continue;
    }
    tell(`Taking job ${job.number} along …`);
    let bytes = 0;
    for (const page of job.pages) bytes += await take(page);
    ready.push({ ...job, build, bytes, at: Date.now() });
  }
  await whileHere(person, () => writeMeta(`ready:${person}`, ready));
  const gone = before.filter(({ id }) => !ready.some((job) => job.id === id));
  for (const page of gone.flatMap(({ pages }) => pages)) await dropPage(page);
  return ready;
}

/** @param {number} at */
const since = (at) => new Date(at).toLocaleString([], { weekday: 'short', hour: '2-digit', minute: '2-digit' });

/** @param {Ready} job */
function line(job) {
  const item = element('li', '');
  const link = element('a', 'links__link');
  link.setAttribute('href', job.pages.at(-1) ?? `/jobs/${job.id}`);
  const words = element('span', '', `Job ${job.number}, ${job.vehicle}`);
  words.append(element('small', '', `${since(job.at)}, ${(job.bytes / 1e6).toFixed(1)} MB`));
  link.append(words);
  item.append(link);
  return item;
}

/** @param {Element} list @param {Ready[]} ready */
export const showReady = (list, ready) => list.replaceChildren(...ready.map(line));

/** @param {HTMLElement} block @param {string} person */
export async function wireAlong(block, person) {
  const words = /** @type {HTMLElement} */ (block.querySelector('[data-along-words]'));
  const list = /** @type {HTMLElement} */ (block.querySelector('[data-along-list]'));
  const tell = (/** @type {string} */ text) => { words.textContent = text; };
  const show = (/** @type {Ready[]} */ ready) => {
    showReady(list, ready);
    const one = ready.length === 1 ? '1 job' : `${ready.length} jobs`;
    tell(ready.length > 0 ? `${one} ready for the vehicle, without signal too.` : 'No open job is yours yet.');
  };
  const run = async (/** @type {boolean} */ isAll) => {
    try {
      show(await takeAlong(person, isAll, tell));
    } catch {
      const ready = await readyJobs(person);
      show(ready);
      const kept = ready.length > 0 ? ' What is below is what this phone has.' : '';
      tell(`Not everything could be fetched now.${kept}`);
    }
  };
  block.hidden = false;
  tell('Looking for what is yours …');
  const before = await readyJobs(person);
  if (before.length > 0) show(before);
  block.querySelector('[data-along-take]')?.addEventListener('click', () => run(true));
  await navigator.serviceWorker.ready;
  await run(false);
}
