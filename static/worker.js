// @ts-check
/**
 * The service worker: gives a page what the phone has where the server does not answer in time. It never
 * touches what is sent; that is the outbox's work, which sees every answer.
 */

import { dropPage, isPartOfList, keepPage, keptPage, leave, mayBeKept, whoIsHere } from './kept.js';
import { dropOldShells, keepShell, shellOf } from './shell.js';
import { readMeta } from './store.js';
import { sendAll } from './sync.js';

/** @typedef {any} Worker  the library of types for pages does not know a worker's own events */

const worker = /** @type {Worker} */ (self);
const BUILD = new URL(import.meta.url).pathname.split('/')[2];
/** Longer than this nobody waits for the network where there is a copy. */
const PATIENCE_MS = 1_500;
/** Pages of the program that belong to nobody. */
const OWN_PAGES = ['/offline', '/waiting'];

async function activate() {
  await worker.registration.navigationPreload?.enable();
  await dropOldShells(BUILD);
  await worker.clients.claim();
}

/** @param {Request} request */
async function file(request) {
  return (await caches.match(request.url)) ?? fetch(request);
}

/** @param {string} page */
const own = async (page) => (await (await caches.open(shellOf(BUILD))).match(page)) ?? Response.error();

/**
 * Somebody unlocked the phone without signal: pages of whoever was signed in before are not for them.
 * @param {Response} answer @param {URL} url
 */
async function forWhoeverIsHere(answer, url) {
  const unlocked = await readMeta('unlocked').catch(() => null);
  const madeFor = answer.headers.get('x-made-for');
  if (!unlocked || !madeFor || madeFor === unlocked) return answer;
  return Response.redirect(`/switch?person=${unlocked}&next=${encodeURIComponent(url.pathname)}`);
}

/** @param {Worker} event @param {URL} url */
async function fromNetwork(event, url) {
  const answer = (await event.preloadResponse) ?? (await fetch(event.request));
  if (mayBeKept(url.pathname) && !isPartOfList(url)) {
    event.waitUntil(keepPage(url.pathname, answer.clone()).catch(() => 0));
    if (answer.status === 403 || answer.status === 404) event.waitUntil(dropPage(url.pathname));
  }
  return forWhoeverIsHere(answer, url);
}

/** Who has just signed in is for the server to say: no copy of somebody else's page may be faster. @param {Request} request */
const isFromSignIn = ({ referrer }) => referrer.startsWith(`${worker.location.origin}/sign-in`);

/** Somebody signs out on a page whose scripts were not there yet. */
async function leavePhone() {
  const person = await whoIsHere();
  if (person) await leave(person);
}

/** @param {Worker} event @param {URL} url */
async function page(event, url) {
  const network = fromNetwork(event, url);
  // Without this a late failure would be reported as nobody's.
  event.waitUntil(network.catch(() => {}));
  const copy = isFromSignIn(event.request) ? undefined : await keptPage(url.pathname);
  if (!copy) return network.catch(() => own(OWN_PAGES.includes(url.pathname) ? url.pathname : '/offline'));
  const first = network.then((answer) => (answer.status >= 500 ? copy : answer)).catch(() => copy);
  // Somebody searches: the whole list is no answer while there may be a better one.
  if (isPartOfList(url)) return first;
  const late = new Promise((resolve) => { setTimeout(resolve, PATIENCE_MS, copy); });
  return Promise.race([first, late]);
}

worker.addEventListener('install', (/** @type {Worker} */ event) => event.waitUntil(keepShell(BUILD, OWN_PAGES)));
worker.addEventListener('activate', (/** @type {Worker} */ event) => event.waitUntil(activate()));
worker.addEventListener('fetch', (/** @type {Worker} */ event) => {
  const url = new URL(event.request.url);
  if (url.origin !== worker.location.origin) return;
  if (event.request.method === 'POST' && url.pathname === '/sign-out') event.waitUntil(leavePhone());
  if (event.request.method !== 'GET') return;
  if (event.request.mode === 'navigate') event.respondWith(page(event, url));
  else if (url.pathname.startsWith('/a/') || url.pathname.endsWith('/thumb')) event.respondWith(file(event.request));
});
worker.addEventListener('message', (/** @type {Worker} */ event) => {
  if (event.data === 'go') worker.skipWaiting();
});
/** An extra of some browsers: signal came back and no page is open. */
worker.addEventListener('sync', (/** @type {Worker} */ event) => {
  const send = async () => {
    const person = await whoIsHere();
    if (person) await navigator.locks.request('outbox', () => sendAll(person));
  };
  event.waitUntil(send());
});
