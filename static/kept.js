// @ts-check
/**
 * Pages kept on this phone for a place without signal, for each person apart. A page goes in together
 * with the files it was made for, or the older pair stays.
 */

import { buildsIn, fetched, isOfType, keepShell } from './shell.js';
import { readMeta, writeMeta } from './store.js';

/** Pages that may be kept: today's list, a job, its sheet, its plan. */
const MAY_BE_KEPT = /^\/jobs(\/[0-9a-f-]{36}(\/(sheet|plan))?)?$/;
const LIST = '/jobs';
/** Longer than this nobody waits for what another tab is keeping. */
const LOCK_MS_MAX = 2_000;
// In attributes only: what people write cannot hold the quotation mark, and may hold an address.
const THUMB = /="(\/photos\/[0-9a-f]{64}\/thumb)"/g;
/** Where people of a shared phone take over from one another. */
const SWITCH = '/switch';

/** @param {string} person */
const pagesOf = (person) => `pages-${person}`;
/** @param {string} person */
const thumbsOf = (person) => `thumbs-${person}`;

/** @param {string} pathname */
export const mayBeKept = (pathname) => MAY_BE_KEPT.test(pathname) || pathname === SWITCH;

/** On a job what follows `?` only opens a step; on the list it leaves jobs out. @param {URL} url */
export const isPartOfList = (url) => url.pathname === LIST && url.search !== '';

/** Whoever used this phone last and did not sign out. @returns {Promise<string>} */
export const whoIsHere = async () => (await readMeta('person').catch(() => '')) ?? '';

/** The pictures of a page that this phone has not got yet. @param {string} html @param {string} person */
async function newThumbs(html, person) {
  /** @type {[string, Response][]} */
  const thumbs = [];
  for (const [, thumb] of html.matchAll(THUMB)) {
    if (await caches.match(thumb, { cacheName: thumbsOf(person) })) continue;
    // One that cannot be had now is no reason to leave the page behind.
    await fetched(thumb, (answer) => isOfType(answer, 'image/')).then((answer) => thumbs.push([thumb, answer])).catch(() => {});
  }
  return thumbs;
}

/** @template T @param {LockOptions} how @param {() => Promise<T>} work @returns {Promise<T>} */
const locked = (how, work) => (navigator.locks ? navigator.locks.request('pages', how, work) : work());

/**
 * Keeps something of a person, unless they have signed out: it is there before their things are taken away, in
 * whichever tab or worker, or it is not kept at all. Nothing in it may wait for the network.
 * @param {string} person @param {() => Promise<unknown>} work @returns {Promise<boolean>}
 */
export const whileHere = (person, work) => locked({ mode: 'shared' }, async () => {
  if (person && person === (await readMeta('left'))) return false;
  await work();
  return true;
});

/** @param {string} name @param {[string, Response][]} pairs */
async function putAll(name, pairs) {
  const cache = await caches.open(name);
  await Promise.all(pairs.map(([address, answer]) => cache.put(address, answer)));
}

/**
 * Keeps a page as the server answered it. A sign-in page, somebody's welcome page in between, or an error
 * is not kept: only the server's own pages say whom they were made for.
 * @param {string} pathname
 * @param {Response} page  not read yet
 * @returns {Promise<number>}  bytes; 0 if it was not kept
 */
export async function keepPage(pathname, page) {
  const person = page.headers.get('x-made-for');
  if (!mayBeKept(pathname) || page.status !== 200 || page.redirected) return 0;
  const html = await page.clone().text();
  const isSwitch = pathname === SWITCH && html.includes(`action="${SWITCH}"`);
  if (!person && !isSwitch) return 0;
  await Promise.all(buildsIn(html).map((build) => keepShell(build)));
  const thumbs = person ? await newThumbs(html, person) : [];
  const isKept = await whileHere(person ?? '', async () => {
    if (person) await putAll(thumbsOf(person), thumbs);
    await putAll(isSwitch ? SWITCH : pagesOf(person ?? ''), [[pathname, page]]);
  });
  return isKept ? html.length : 0;
}

/** The copy for whoever is here. @param {string} pathname */
export async function keptPage(pathname) {
  // Looked for and not opened: opening makes what is not there, again for whoever has left.
  if (pathname === SWITCH) return caches.match(SWITCH, { cacheName: SWITCH });
  const person = await whoIsHere();
  return person ? caches.match(pathname, { cacheName: pagesOf(person) }) : undefined;
}

/** @param {string[]} pathnames */
export async function areKept(pathnames) {
  const copies = await Promise.all(pathnames.map(keptPage));
  return copies.every((copy) => copy !== undefined);
}

/** @param {string} pathname */
export async function dropPage(pathname) {
  const person = await whoIsHere();
  if (person) await whileHere(person, async () => (await caches.open(pagesOf(person))).delete(pathname));
}

/** @param {string} person */
const dropPagesOf = (person) => Promise.all([pagesOf, thumbsOf].map((of) => caches.delete(of(person))));

/** Somebody signs out: their pages and pictures go, their outbox stays. @param {string} person */
export async function leave(person) {
  // First, so that no page that is on its way is kept any more.
  await writeMeta('left', person).catch(() => {});
  const end = () => Promise.allSettled([
    dropPagesOf(person),
    writeMeta('person', ''), writeMeta('personName', ''), writeMeta('unlocked', ''), writeMeta(`ready:${person}`, []),
  ]);
  // A tab that the phone has put to sleep may hold on: nobody waits for it.
  await locked({ mode: 'exclusive', signal: AbortSignal.timeout(LOCK_MS_MAX) }, end).catch(end);
}
