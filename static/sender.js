// @ts-check
/**
 * When the outbox is sent, and what the person sees of it: after each save, when signal comes back, when
 * the page is looked at again, and after a while while something waits. All tabs take turns.
 */

import { listRows, takeSpilled } from './outbox.js';
import { sendAll } from './sync.js';

const PAUSE_MS_MIN = 2_000;
const PAUSE_MS_MAX = 60_000;
/** Some browsers clear what a page keeps when nobody has used it for a week. */
const OLD_MS = 2 * 24 * 3_600_000;

/**
 * @typedef {object} Standing
 * @property {number} waiting  rows of this person that are not sent
 * @property {boolean} isOld  some of it for longer than a phone should be trusted with
 * @property {number} refused
 * @property {number} others  rows that somebody else recorded on this phone
 * @property {boolean} isSending
 * @property {import('./ask.js').Ending} ending  of the last try
 */

/** @type {Standing} */
let standing = { waiting: 0, isOld: false, refused: 0, others: 0, isSending: false, ending: 'done' };
/** Nothing is said before the phone's own disk was looked at: nobody is told that all is sent while it is not known. */
let isKnown = false;
/** @type {((now: Standing) => void)[]} */
const listeners = [];
const channel = typeof BroadcastChannel === 'function' ? new BroadcastChannel('outbox') : null;

let person = '';
let isQueued = false;
let pauseMs = PAUSE_MS_MIN;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let timer;

/** @param {(now: Standing) => void} listener  called once it is known, and at each change, here or in another tab */
export function onStanding(listener) {
  listeners.push(listener);
  if (isKnown) listener(standing);
}

/** @param {Partial<Standing>} [change] */
async function tell(change = {}) {
  const rows = await listRows();
  const mine = rows.filter((row) => row.person === person);
  const count = (/** @type {string} */ state) => mine.filter((row) => row.state === state).length;
  const others = rows.filter((row) => row.person !== person && row.state === 'waiting').length;
  const isOld = mine.some((row) => row.state === 'waiting' && Date.now() - row.at > OLD_MS);
  standing = { ...standing, ...change, waiting: count('waiting'), isOld, refused: count('refused'), others };
  isKnown = true;
  listeners.forEach((listener) => listener(standing));
}

/** Rows were added, or something became of them. */
export async function changed() {
  await tell();
  channel?.postMessage('changed');
}

async function run() {
  isQueued = false;
  // What had to be kept beside the database goes with the rest as soon as there is room again.
  await takeSpilled();
  await tell({ isSending: true });
  const { ending, waitMs } = await sendAll(person);
  await tell({ isSending: false, ending });
  channel?.postMessage('changed');
  clearTimeout(timer);
  if (ending === 'done') pauseMs = PAUSE_MS_MIN;
  if (ending === 'later' && standing.waiting > 0) tryAgain(waitMs);
}

/** @param {number} waitMs  at least */
function tryAgain(waitMs) {
  clearTimeout(timer);
  // Some chance in it, so that a yard full of phones does not come back all at once.
  const pause = Math.max(waitMs, pauseMs * (0.75 + Math.random() / 2));
  timer = setTimeout(() => sendNow().catch(() => {}), pause);
  pauseMs = Math.min(pauseMs * 2, PAUSE_MS_MAX);
}

/** Sends what waits, after whoever is sending now. */
export async function sendNow() {
  // Without a person nothing may be sent; one waiting call a tab is enough.
  if (!person || isQueued) return;
  isQueued = true;
  try {
    await (navigator.locks ? navigator.locks.request('outbox', run) : run());
  } catch (why) {
    isQueued = false;
    // The phone's own disk may be in the way now, and free again in a while.
    tryAgain(0);
    await tell({ isSending: false, ending: 'later' }).catch(() => {});
    throw why;
  }
}

/** @param {string} whose  the person of this page; empty where nobody is signed in */
export async function startSending(whose) {
  person = whose;
  channel?.addEventListener('message', () => tell());
  const again = () => {
    pauseMs = PAUSE_MS_MIN;
    sendNow().catch(() => {});
  };
  window.addEventListener('online', again);
  document.addEventListener('visibilitychange', () => document.visibilityState === 'visible' && again());
  await takeSpilled();
  await tell();
  if (standing.waiting > 0) await sendNow();
}
