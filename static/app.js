// @ts-check
/**
 * What the browser adds to pages that work without it. Each part is attached by a data attribute and
 * does nothing where its markup is missing. Parts that few pages have are fetched by those pages.
 */

import { openStore } from './store.js';
import { wireHeld } from './held.js';
import { settleWho, watchReturn, wireSignOut } from './here.js';
import { onStanding, startSending } from './sender.js';
import { wireSubmit } from './submit.js';
import { wireSwitch } from './switches.js';
import { startWorker } from './update.js';

const isStored = openStore().then(() => true, () => false);

/**
 * @template {Element} T
 * @param {string} selector
 * @param {(element: T) => void} wire
 */
function each(selector, wire) {
  for (const element of document.querySelectorAll(selector)) wire(/** @type {T} */ (element));
}

/** A page opened at a step shows it and starts there; its heading is read, no keyboard jumps up. */
function startAtStep() {
  const open = location.hash ? null : document.querySelector('.step__fold[open]');
  const step = location.hash.startsWith('#s-') ? document.getElementById(location.hash.slice(1)) : open;
  const heading = step && step.querySelector('summary');
  if (!heading) return;
  step.scrollIntoView({ block: 'start' });
  // The ring is for those who move by keys; their next key shows it.
  heading.focus(/** @type {FocusOptions} */ ({ preventScroll: true, focusVisible: false }));
}

/** Where this phone keeps nothing, the pages go on as plain forms. */
async function startPhone() {
  if (!(await isStored)) return;
  watchReturn();
  const person = await settleWho();
  try {
    await wirePhone(person);
  } finally {
    // Sending hangs on neither: on a bad line a part of the page or the worker may not be had this time.
    startWorker().catch(() => {});
    await startSending(person);
  }
}

/** Parts of pages that show what is on this phone. @param {string} person */
async function wirePhone(person) {
  each('[data-held]', (/** @type {HTMLElement} */ block) => onStanding(wireHeld(block)));
  const sheet = /** @type {HTMLElement | null} */ (document.querySelector('#steps[data-job]'));
  if (sheet && person) (await import('./sheet.js')).wireSheet(sheet);
  const waiting = /** @type {HTMLElement | null} */ (document.querySelector('[data-waiting]'));
  if (waiting) (await import('./waiting.js')).wireWaiting(waiting, person);
  const along = /** @type {HTMLElement | null} */ (document.querySelector('[data-along]'));
  if (along && person) (await import('./along.js')).wireAlong(along, person);
  const kept = /** @type {HTMLElement | null} */ (document.querySelector('[data-kept]'));
  if (kept && person) (await import('./waiting.js')).wireKept(kept, person);
  performance.mark('wired');
  // What is refused is told on the page of what waits here; asking again costs nothing.
  if (person) navigator.storage?.persist?.();
}

/** Parts of single pages. */
async function startParts() {
  const has = (/** @type {string} */ selector) => document.querySelector(selector) !== null;
  if (has('form[data-plan]')) each('form[data-plan]', (await import('./plan.js')).wirePlan);
  if (has('[data-review]')) each('[data-review]', (await import('./review.js')).wireReview);
  if (has('form[data-kit]')) each('form[data-kit]', (await import('./kit.js')).wireKit);
  if (has('[data-signature]')) each('[data-signature]', (await import('./signature.js')).wireSignature);
  if (has('form[action="/switch"]')) each('form[action="/switch"]', (await import('./switch.js')).wireSwitchPerson);
  if (has('[data-share]')) each('[data-share]', (await import('./share.js')).wireShare);
  if (has('[data-paper-head]')) each('[data-paper-head]', (await import('./paper-head.js')).wirePaperHead);
  if (has('[data-board]')) each('[data-board]', (await import('./board.js')).wireBoard);
  if (has('[data-verify]')) each('[data-verify]', (await import('./verify.js')).wireVerify);
}

each('form[method="post"]:not(#steps form, [data-sign-out], [action="/switch"])', wireSubmit);
each('[data-switch]', wireSwitch);
each('form[data-sign-out]', wireSignOut);
// After the browser's own jump to the fragment, which would take the focus away again.
window.addEventListener('load', startAtStep);
startParts();
startPhone();
