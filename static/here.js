// @ts-check
/** Who uses this phone: what pages are kept for, and whose entries are sent. */

import { leave } from './kept.js';
import { readMeta, writeMeta } from './store.js';

/** The person that the page was made for; empty on pages for anyone. */
const onPage = () => document.body.dataset.person ?? '';

/** Longer than this nobody waits to sign out. */
const ANSWER_MS_MAX = 4_000;

/** @type {Promise<string> | null} */
let settled = null;

/** Once for a page; whoever signs out waits for it. */
export const settleWho = () => (settled ??= settle());

/**
 * Notes who is here, as the server says. Whoever unlocked the phone without signal has to be known to the
 * server again before pages of somebody else are shown.
 * @returns {Promise<string>} the person, or nobody
 */
async function settle() {
  const person = onPage();
  const unlocked = (await readMeta('unlocked')) ?? '';
  if (unlocked && person && unlocked !== person) {
    location.replace(`/switch?person=${unlocked}&next=${encodeURIComponent(location.pathname)}`);
    return '';
  }
  if (!person) {
    // Whoever signs in now means it.
    if (document.querySelector('form[action="/sign-in"]')) await writeMeta('leaving', '');
    return (await readMeta('person')) ?? '';
  }
  if ((await readMeta('leaving')) === person) {
    await fetch('/sign-out', { method: 'POST', redirect: 'manual' });
    await writeMeta('leaving', '');
    location.replace('/');
    return '';
  }
  await writeMeta('person', person);
  await writeMeta('personName', document.body.dataset.personName ?? '');
  if ((await readMeta('left')) === person) await writeMeta('left', '');
  return person;
}

/**
 * Signing out takes the kept pages away; what was recorded stays. Without signal the server is told at the next
 * page that it gives.
 * @param {HTMLFormElement} form
 */
export function wireSignOut(form) {
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    const person = onPage();
    // Or it would note them again behind their back.
    await settleWho().catch(() => {});
    await leave(person);
    const signal = AbortSignal.timeout(ANSWER_MS_MAX);
    const isHeard = await fetch('/livez', { cache: 'no-store', signal }).then(({ ok }) => ok, () => false);
    if (isHeard) {
      form.submit();
      return;
    }
    await writeMeta('leaving', person);
    location.assign('/offline');
  });
}

/** A page that the browser had put aside may belong to somebody who has left. */
export function watchReturn() {
  window.addEventListener('pageshow', async ({ persisted }) => {
    if (persisted && onPage() && (await readMeta('person')) !== onPage()) location.reload();
  });
}
