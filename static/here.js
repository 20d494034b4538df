// @ts-check
/** Who uses this phone: what pages are kept for, and whose entries are sent. */

import { dropPagesOf } from './kept.js';
import { readMeta, writeMeta } from './store.js';

/** The person that the page was made for; empty on pages for anyone. */
const onPage = () => document.body.dataset.person ?? '';

/**
 * Notes who is here, as the server says. Whoever unlocked the phone without signal has to be known to the
 * server again before pages of somebody else are shown.
 * @returns {Promise<string>} the person, or nobody
 */
export async function settleWho() {
  const person = onPage();
  const unlocked = (await readMeta('unlocked')) ?? '';
  if (unlocked && person && unlocked !== person) {
    location.replace(`/switch?person=${unlocked}&next=${encodeURIComponent(location.pathname)}`);
    return '';
  }
  if (!person) return (await readMeta('person')) ?? '';
  await writeMeta('person', person);
  await writeMeta('personName', document.body.dataset.personName ?? '');
  if ((await readMeta('left')) === person) await writeMeta('left', '');
  return person;
}

/** Signing out takes away what was kept to be read; what was recorded stays. @param {HTMLFormElement} form */
export function wireSignOut(form) {
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    const person = onPage();
    // First, so that no page that is on its way is kept any more.
    await writeMeta('left', person).catch(() => {});
    const ends = [
      writeMeta('person', ''), writeMeta('personName', ''), writeMeta('unlocked', ''), writeMeta(`ready:${person}`, []),
    ];
    await Promise.allSettled([dropPagesOf(person), ...ends]);
    form.submit();
  });
}

/** A page that the browser had put aside may belong to somebody who has left. */
export function watchReturn() {
  window.addEventListener('pageshow', async ({ persisted }) => {
    if (persisted && onPage() && (await readMeta('person')) !== onPage()) location.reload();
  });
}
