// @ts-check
/**
 * Somebody else takes over this phone, with signal or without. Without it a PIN says who is there and no more:
 * six digits guard no vault. What is recorded then is sent only after the same person has unlocked the phone
 * with signal, too.
 */

import { answered, readMeta, transact, writeMeta } from './store.js';

/** Wrong PINs a person may type without signal. */
const TRIES_MAX = 5;
const ANSWER_MS_MAX = 8_000;

/** @typedef {{ mac: ArrayBuffer, name: string, tries: number }} Known  by `pin:` and the person's id */

/** A key that this browser will use and never show. @returns {Promise<CryptoKey>} */
async function pinKey() {
  const kept = await readMeta('pinKey');
  if (kept) return kept;
  const key = await crypto.subtle.generateKey({ name: 'HMAC', hash: 'SHA-256' }, false, ['sign', 'verify']);
  await writeMeta('pinKey', key);
  return key;
}

/** @param {string} person @param {string} pin */
const words = (person, pin) => new TextEncoder().encode(`${person} ${pin.replace(/\s/g, '')}`);

/** Notes a PIN that the server has just taken. @param {string} person @param {string} name @param {string} pin */
export async function learnPin(person, name, pin) {
  const mac = await crypto.subtle.sign('HMAC', await pinKey(), words(person, pin));
  await writeMeta(`pin:${person}`, { mac, name, tries: 0 });
}

/** @param {Known} known @param {string} person @param {string} pin */
const matches = async ({ mac }, person, pin) => crypto.subtle.verify('HMAC', await pinKey(), mac, words(person, pin));

/**
 * The server refuses what this phone would take: a new PIN was given, or none counts here any more.
 * @param {string} person
 * @param {string} pin
 */
async function forgetRefused(person, pin) {
  const known = await readMeta(`pin:${person}`);
  if (known && (await matches(known, person, pin))) await writeMeta(`pin:${person}`, undefined);
}

/**
 * Counts a try before anything is looked at, so that closing the page or a second tab gives no fresh one.
 * @param {string} person
 * @returns {Promise<Known | undefined>}  as it was before
 */
const takeTry = (person) => transact(['meta'], 'readwrite', async (all) => {
  const meta = all.objectStore('meta');
  const known = await answered(meta.get(`pin:${person}`));
  if (known && known.tries < TRIES_MAX) meta.put({ ...known, tries: known.tries + 1 }, `pin:${person}`);
  return known;
});

/**
 * Whether a PIN is that of a person who has used this phone with signal.
 * @param {string} person
 * @param {string} pin
 * @returns {Promise<{ name: string } | { fault: string }>}
 */
export async function checkPin(person, pin) {
  const known = await takeTry(person);
  if (!known) return { fault: 'There is no signal, and this phone knows only who has unlocked it with signal before.' };
  if (known.tries >= TRIES_MAX) return { fault: `${TRIES_MAX} wrong PINs: this phone asks the server next time. Find a place with signal.` };
  if (!(await matches(known, person, pin))) {
    const left = TRIES_MAX - known.tries - 1;
    return { fault: `This PIN is not right. ${left} ${left === 1 ? 'try is' : 'tries are'} left without signal.` };
  }
  await writeMeta(`pin:${person}`, { ...known, tries: 0 });
  return { name: known.name };
}

/** @param {string} person @param {string} pin @returns {Promise<{ name: string, isOffline: boolean } | { fault: string }>} */
export async function unlock(person, pin) {
  const request = {
    method: 'POST',
    headers: { accept: 'application/json' },
    body: new URLSearchParams({ person, pin }),
    signal: AbortSignal.timeout(ANSWER_MS_MAX),
  };
  const answer = await fetch('/switch', request).catch(() => null);
  const found = await answer?.json().catch(() => null);
  if (answer?.ok && found?.person === person) {
    await learnPin(person, found.name, pin);
    return { name: found.name, isOffline: false };
  }
  if (found?.detail) {
    if (answer?.status === 403 || answer?.status === 422) await forgetRefused(person, pin);
    return { fault: found.detail };
  }
  const known = await checkPin(person, pin);
  return 'fault' in known ? known : { ...known, isOffline: true };
}

/** @param {HTMLFormElement} form */
export function wireSwitchPerson(form) {
  const asked = new URLSearchParams(location.search).get('person');
  const radio = asked && form.querySelector(`input[value="${CSS.escape(asked)}"]`);
  if (radio instanceof HTMLInputElement) radio.checked = true;
  document.querySelector('a[href="/sign-in"]')?.addEventListener('click', () => writeMeta('unlocked', ''));
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    const fields = new FormData(form);
    const [person, pin] = ['person', 'pin'].map((name) => String(fields.get(name) ?? ''));
    const done = await unlock(person, pin);
    if ('fault' in done) {
      showFault(form, done.fault);
      return;
    }
    await writeMeta('person', person);
    await writeMeta('personName', done.name);
    await writeMeta('leaving', '');
    await writeMeta('unlocked', done.isOffline ? person : '');
    const next = String(fields.get('next') ?? '');
    location.assign(next.startsWith('/jobs') ? next : '/jobs');
  });
}

/** @param {HTMLFormElement} form @param {string} sentence */
function showFault(form, sentence) {
  const pin = /** @type {HTMLInputElement} */ (form.elements.namedItem('pin'));
  let error = form.querySelector('#pin-error');
  if (!error) {
    error = document.createElement('p');
    error.id = 'pin-error';
    error.className = 'field__error';
    error.setAttribute('role', 'alert');
    pin.closest('.field')?.append(error);
  }
  error.textContent = sentence;
  pin.setAttribute('aria-invalid', 'true');
  pin.value = '';
  pin.focus();
}
