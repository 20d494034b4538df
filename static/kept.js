// @ts-check
/**
 * Pages kept on this phone for a place without signal, for each person apart. A page goes in together
 * with the files it was made for, or the older pair stays.
 */

import { readMeta, writeMeta } from './store.js';

/** Pages that may be kept: today's list, a job, its sheet, its plan. */
const MAY_BE_KEPT = /^\/jobs(\/[0-9a-f-]{36}(\/(sheet|plan))?)?$/;
const LIST = '/jobs';
// In attributes only: what people write cannot hold the quotation mark, and may hold an address.
const ASSET = /="\/a\/([0-9a-f]+)\//g;
const THUMB = /="(\/photos\/[0-9a-f]{64}\/thumb)"/g;
/** Where people of a shared phone take over from one another. */
const SWITCH = '/switch';

/** @param {string} build */
export const shellOf = (build) => `shell-${build}`;
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

/** @param {string} html @returns {string[]} */
const buildsIn = (html) => [...new Set(Array.from(html.matchAll(ASSET), ([, build]) => build))];

/**
 * What the server has at an address, and not what somebody in between answers with: a shell is kept for as long
 * as its build, and one welcome page in it would be a part of the program that never works.
 * @param {string} address @param {(answer: Response, text: () => Promise<string>) => boolean | Promise<boolean>} isOurs
 */
async function fetched(address, isOurs) {
  const answer = await fetch(address, { cache: 'reload' });
  const text = () => answer.clone().text();
  if (answer.status === 200 && !answer.redirected && (await isOurs(answer, text))) return answer;
  throw new Error(`${address} was answered by somebody else`);
}

/** @param {Response} answer @param {string} type */
const isOfType = (answer, type) => (answer.headers.get('content-type') ?? '').startsWith(type);

/**
 * Keeps the files of a build, and pages of the program that belong to nobody: all or nothing.
 * @param {string} build @param {string[]} [pages]
 */
export async function keepShell(build, pages = []) {
  const shell = await caches.open(shellOf(build));
  const name = `/a/${build}/list.json`;
  if (pages.length === 0 && (await shell.match(name))) return;
  const list = await fetched(name, (answer) => isOfType(answer, 'application/json'));
  /** @type {string[]} */
  const files = await list.clone().json();
  // The program has no page among its files; its own pages name them.
  const kept = await Promise.all([
    ...files.map(async (file) => ({ file, answer: await fetched(file, (answer) => !isOfType(answer, 'text/html')) })),
    ...pages.map(async (file) => ({ file, answer: await fetched(file, async (_, text) => (await text()).includes(`/a/${build}/`)) })),
  ]);
  await Promise.all(kept.map(({ file, answer }) => shell.put(file, answer)));
  await shell.put(name, list);
}

/** @param {string} html @param {string} person */
async function keepThumbs(html, person) {
  const thumbs = await caches.open(thumbsOf(person));
  for (const [, thumb] of html.matchAll(THUMB)) {
    // One that cannot be had now is no reason to leave the page behind.
    if (await thumbs.match(thumb)) continue;
    await fetched(thumb, (answer) => isOfType(answer, 'image/')).then((answer) => thumbs.put(thumb, answer)).catch(() => {});
  }
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
  if (person) await keepThumbs(html, person);
  await (await caches.open(isSwitch ? SWITCH : pagesOf(person ?? ''))).put(pathname, page);
  // An answer that comes late must not bring back what signing out took away: asked last, for they sign out at any time.
  if (!person || person !== (await readMeta('left'))) return html.length;
  await dropPagesOf(person);
  return 0;
}

/** The copy for whoever is here. @param {string} pathname */
export async function keptPage(pathname) {
  if (pathname === SWITCH) return (await caches.open(SWITCH)).match(SWITCH);
  const person = await whoIsHere();
  return person ? (await caches.open(pagesOf(person))).match(pathname) : undefined;
}

/** @param {string[]} pathnames */
export async function areKept(pathnames) {
  const copies = await Promise.all(pathnames.map(keptPage));
  return copies.every((copy) => copy !== undefined);
}

/** @param {string} pathname */
export async function dropPage(pathname) {
  const person = await whoIsHere();
  if (person) await (await caches.open(pagesOf(person))).delete(pathname);
}

/** @param {string} person */
const dropPagesOf = (person) => Promise.all([pagesOf, thumbsOf].map((of) => caches.delete(of(person))));

/** Somebody signs out: their pages and pictures go, their outbox stays. @param {string} person */
export async function leave(person) {
  // First, so that no page that is on its way is kept any more.
  await writeMeta('left', person).catch(() => {});
  const ends = [
    writeMeta('person', ''), writeMeta('personName', ''), writeMeta('unlocked', ''), writeMeta(`ready:${person}`, []),
  ];
  await Promise.allSettled([dropPagesOf(person), ...ends]);
}

/** Shells that neither this build nor any kept page needs. @param {string} build */
export async function dropOldShells(build) {
  const names = await caches.keys();
  const needed = new Set([shellOf(build)]);
  for (const name of names.filter((any) => any.startsWith('pages-'))) {
    const pages = await caches.open(name);
    for (const request of await pages.keys()) {
      const page = await pages.match(request);
      for (const used of buildsIn((await page?.text()) ?? '')) needed.add(shellOf(used));
    }
  }
  const old = names.filter((name) => name.startsWith('shell-') && !needed.has(name));
  await Promise.all(old.map((name) => caches.delete(name)));
}
