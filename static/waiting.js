// @ts-check
/** The page that shows what is on this phone: what waits, what was not accepted and why, and what is ready. */

import { readyJobs, showReady } from './along.js';
import { listRows, settle } from './outbox.js';
import { clock, element } from './overlay.js';
import { saveFile } from './outbox-file.js';
import { changed, onStanding, sendNow } from './sender.js';
import { readMeta } from './store.js';

/** @typedef {import('./outbox.js').Row} Row */

const ENDINGS = {
  done: 'Everything that was recorded here is with the server.',
  later: 'The server could not be reached. It is tried again by itself, and each time this page is looked at.',
  'sign-in': 'Your time is up on the server. Sign in again: what you recorded is sent then.',
  'other-person': 'Somebody else is signed in on this phone. It is sent when whoever recorded it is back.',
};
/** More than this unsent [bytes], and it is time for a place with signal. */
const MUCH_BYTES = 60e6;

/** @param {Row} row */
function line(row) {
  const item = element('li', 'held-row');
  const words = element('div', 'held-row__words', `${row.title}: ${row.value}`);
  words.append(element('small', '', `Job ${row.number}, ${row.personName}, ${clock(row.at)}`));
  if (row.reason) words.append(element('p', row.state === 'refused' ? 'held-row__why' : 'soft', row.reason));
  item.append(words);
  if (row.state !== 'refused') return item;
  const open = element('a', 'button button--small cut', row.step ? 'Open the step' : 'Open the job');
  open.setAttribute('href', row.step ? `/jobs/${row.job}/sheet?open=${row.step}` : `/jobs/${row.job}`);
  const away = element('button', 'button button--small cut', 'Put it away');
  away.setAttribute('type', 'button');
  away.addEventListener('click', async () => {
    await settle([{ id: row.id, state: 'aside', reason: row.reason }]);
    await changed();
  });
  item.append(open, away);
  return item;
}

/** @param {HTMLElement} block @param {string} part @param {HTMLElement[]} items */
function fill(block, part, items) {
  const section = /** @type {HTMLElement | null} */ (block.querySelector(`[data-waiting-part="${part}"]`));
  if (!section) return;
  section.hidden = items.length === 0;
  section.querySelector('[data-rows]')?.replaceChildren(...items);
}

/** @param {string} word @param {string} value */
function fact(word, value) {
  const row = element('div', '');
  row.append(element('dt', '', word), element('dd', '', value));
  return row;
}

/** How safe what is here is on this phone. @param {HTMLElement} block */
async function showRoom(block) {
  const room = /** @type {HTMLElement | null} */ (block.querySelector('[data-room]'));
  const facts = room?.querySelector('[data-room-facts]');
  if (!room || !facts) return;
  const isKept = (await navigator.storage?.persist?.()) ?? false;
  const { usage = 0 } = (await navigator.storage?.estimate?.()) ?? {};
  const off = Math.round(((await readMeta('clockOff')) ?? 0) / 60_000);
  const clockWords = off === 0 ? 'right' : `${Math.abs(off)} min ${off > 0 ? 'ahead' : 'behind'}: set it by the network`;
  facts.replaceChildren(
    fact('Kept', isKept
      ? 'This phone has agreed to keep it'
      : 'The browser may clear it when the phone is full: put this page on the home screen, and send soon'),
    fact('Room taken', `${(usage / 1e6).toFixed(1)} MB${usage > MUCH_BYTES ? '. Much: send soon' : ''}`),
    fact('Clock', clockWords),
  );
  room.hidden = false;
}

/** @param {HTMLElement} block @param {string} person */
export async function wireWaiting(block, person) {
  const acts = /** @type {HTMLElement} */ (block.querySelector('[data-waiting-acts]'));
  const send = /** @type {HTMLButtonElement} */ (block.querySelector('[data-send]'));
  const signIn = /** @type {HTMLElement} */ (block.querySelector('[data-sign-in]'));
  const words = /** @type {HTMLElement} */ (block.querySelector('[data-waiting-words]'));
  const fault = (/** @type {unknown} */ why) => { words.textContent = `This did not work: ${why}`; };
  send.addEventListener('click', () => sendNow().catch(fault));
  block.querySelector('[data-save-file]')?.addEventListener('click', () => saveFile(person).catch(fault));
  onStanding(async (now) => {
    const rows = await listRows();
    const mine = rows.filter((row) => row.person === person);
    fill(block, 'refused', mine.filter(({ state }) => state === 'refused').map(line));
    fill(block, 'waiting', mine.filter(({ state }) => state === 'waiting').map(line));
    fill(block, 'aside', mine.filter(({ state }) => state === 'aside').map(line));
    fill(block, 'others', rows.filter((row) => row.person !== person && row.state === 'waiting').map(line));
    acts.hidden = now.waiting === 0;
    send.setAttribute('aria-disabled', String(now.isSending));
    const isOther = now.ending === 'other-person';
    signIn.hidden = !isOther && now.ending !== 'sign-in';
    signIn.setAttribute('href', isOther ? `/switch?person=${person}` : '/sign-in');
    signIn.textContent = isOther ? 'Switch to send' : 'Sign in to send';
    if (now.isSending) words.textContent = 'Sending …';
    else words.textContent = now.waiting === 0 ? ENDINGS.done : `${now.waiting} waiting. ${ENDINGS[now.ending === 'done' ? 'later' : now.ending]}`;
  });
  const ready = await readyJobs(person);
  fill(block, 'ready', ready.length > 0 ? [element('li', '')] : []);
  const list = block.querySelector('[data-waiting-part="ready"] [data-rows]');
  if (list) showReady(list, ready);
  await showRoom(block);
}

/** On the page without signal: what there is instead. @param {HTMLElement} block @param {string} person */
export async function wireKept(block, person) {
  const ready = await readyJobs(person);
  const list = block.querySelector('[data-kept-list]');
  if (!list || ready.length === 0) return;
  showReady(list, ready);
  block.hidden = false;
}
