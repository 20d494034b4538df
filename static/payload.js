// @ts-check
/**
 * What a step's form comes to: the result and the words beside it, or what to write instead. The same rule as
 * `server/domain/step_form.rs`; the cases in `tests/data/forms.json` hold both together.
 */

import { absolute, compare, multiply, shift } from './decimal.js';
import { known, parseDecimal } from './judge.js';
import { isImplausible } from './plausible.js';
import { limitsAt } from './solar.js';

/**
 * @typedef {Record<string, string | undefined>} Marks  the form's `data-…`, in camelCase
 * @typedef {object} StepForm
 * @property {Marks} marks
 * @property {Record<string, string>} fields  by name, as typed
 * @property {string[]} labels  of an order, in the order of its rows
 * @property {string[]} photos  their digests
 * @typedef {{ kind: string } & Record<string, string | string[]>} Payload  as the server writes it
 * @typedef {{ result: Payload, remark: Payload | null, improbable: boolean }} Filled
 * @typedef {{ payload: Payload, improbable?: boolean }} Result
 */

const TEXT_CHARS_MAX = 2000;
const ENTRY_PHOTOS_MAX = 6;
const TOO_LONG = `The text is longer than ${TEXT_CHARS_MAX} characters. Shorten it.`;
const PHOTO_COUNT = `At least one and at most ${ENTRY_PHOTOS_MAX} photos go with one entry.`;
const UUID = /^[\da-f]{8}(-[\da-f]{4}){3}-[\da-f]{12}$/;
const FIVE = { units: 5n, scale: 0 };

/** Somebody may be unable to do these; of a measurement there is no such thing. */
const PLAIN_KINDS = ['confirm', 'photo', 'note'];

class Fault extends Error {}

/** @param {string} sentence @returns {never} */
function refuse(sentence) { throw new Fault(sentence); }

/** Without the space around it; half a character becomes the sign for a lost one. @param {string | undefined} text */
const trimmed = (text = '') => text.replace(/\p{Surrogate}/gu, '\ufffd')
  .replace(/^\p{White_Space}+|\p{White_Space}+$/gu, '');

/** The form as plain values. @param {HTMLFormElement} form @param {string[]} photos @returns {StepForm} */
export function formOf(form, photos) {
  /** @type {Record<string, string>} */
  const fields = {};
  for (const [name, value] of new FormData(form)) if (typeof value === 'string') fields[name] = value;
  const rows = /** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll('[data-order-row]'));
  return { marks: { ...form.dataset }, fields, labels: Array.from(rows, (row) => row.dataset.label ?? ''), photos };
}

/**
 * @param {StepForm} form
 * @returns {Filled | { fault: string } | { question: string }}  a question is asked once: with the field
 *   `improbable` filled the figure is kept
 */
export function readForm({ marks, labels, photos, ...form }) {
  /** @param {string} name */
  const text = (name) => trimmed(form.fields[name]);
  try {
    const unable = PLAIN_KINDS.includes(marks.kind ?? '') ? text('unable') : '';
    const isPhoto = marks.kind === 'photo' && !unable;
    const { payload, improbable = false } = unable
      ? { payload: { kind: 'unable', reason: unable } }
      : read({ marks, labels, photos, text });
    if (improbable && !text('improbable')) return { question: questionAbout(payload, text('value')) };
    const remark = remarkOf(text('note'), isPhoto ? [] : photos);
    for (const part of [payload, remark]) if (part) check(part);
    return { result: payload, remark, improbable };
  } catch (error) {
    if (error instanceof Fault) return { fault: error.message };
    throw error;
  }
}

/** Of a string either figure may be the slipped one. @param {Payload} payload @param {string} value */
const questionAbout = ({ kind, voltage_v: voltage, cell_c: cell }, value) =>
  `Is ${kind === 'solar_open' ? `${voltage} V at ${cell} °C` : value} right? Save again to keep it.`;

/** @param {string} text @param {string[]} photos @returns {Payload | null} */
const remarkOf = (text, photos) => (text || photos.length > 0 ? { kind: 'remark', text, photos } : null);

/** @param {Payload} payload */
function check({ text = '', reason = '', photos = [] }) {
  if ([text, reason].some((words) => [...words].length > TEXT_CHARS_MAX)) refuse(TOO_LONG);
  if (photos.length > ENTRY_PHOTOS_MAX) refuse(PHOTO_COUNT);
}

/** @param {Omit<StepForm, 'fields'> & { text: (name: string) => string }} form @returns {Result} */
function read({ marks, labels, photos, text }) {
  /** @param {string} name @param {string} example */
  const figure = (name, example) =>
    parseDecimal(text(name)) ?? refuse(`Type one number, for example ${example}.`);
  /** @param {string} name @param {string | undefined} unit */
  const instrument = (name, unit) => {
    const id = text(name).toLowerCase();
    return UUID.test(id) ? id : refuse(`Choose the instrument that measured the ${unit}.`);
  };
  switch (marks.kind) {
    case 'photo':
      if (photos.length === 0) refuse('Take a photo, or say why it cannot be taken.');
      return { payload: { kind: 'photo', photos } };
    case 'note':
      return { payload: { kind: 'note', text: text('value') || refuse('Write what you saw, or "none".') } };
    case 'fuse': {
      const rating = parseDecimal(text('value')) ?? refuse('Tap the rating that stands on the fuse.');
      return { payload: { kind: 'fuse', rating_a: rating } };
    }
    case 'order':
      return { payload: { kind: 'order', labels: inOrder(labels, text) } };
    case 'torque':
    case 'reading': {
      const value = figure('value', '12.5');
      const payload = { kind: marks.kind, value, instrument: instrument('instrument', marks.unit) };
      return { payload, improbable: isImplausible(value, marks.lower, marks.upper) };
    }
    case 'ratio': {
      const [drop, current] = [figure('value', '0.21'), figure('current', '28.5')];
      const [meter, clamp] = [instrument('instrument', 'V'), instrument('current_instrument', 'A')];
      const tools = { instrument: meter, current_instrument: clamp };
      const payload = { kind: 'path_drop', drop_v: drop, current_a: current, ...tools };
      return { payload, improbable: isPathImplausible(drop, current, marks.limitMilliohm ?? '0') };
    }
    case 'solar_open': {
      const [voltage, cell] = [figure('value', '40.6'), figure('cell', '45.5')];
      const [meter, thermometer] = [instrument('instrument', 'V'), instrument('thermometer', '°C')];
      const payload = { kind: 'solar_open', voltage_v: voltage, cell_c: cell, instrument: meter, thermometer };
      const limits = limitsAt(cell, /** @type {import('./solar.js').OpenString} */ (marks));
      return { payload, improbable: !limits || isImplausible(voltage, limits.lower, limits.upper) };
    }
    case 'confirm':
      if (text('value') !== 'done') refuse('Tick it when it is done as written, or say why it cannot be done.');
      return { payload: { kind: 'confirm' } };
    default:
      return refuse('This page does not know such a step yet. Load the page again.');
  }
}

/**
 * Five times the limit or more, told without a quotient.
 * @param {string} drop @param {string} current @param {string} limit
 */
function isPathImplausible(drop, current, limit) {
  const amps = absolute(known(current));
  const most = multiply(multiply(shift(known(limit), 3), FIVE), amps);
  return amps.units !== 0n && known(limit).units !== 0n && compare(absolute(known(drop)), most) >= 0;
}

/** By the place that each row says. @param {string[]} labels @param {(name: string) => string} text */
function inOrder(labels, text) {
  /** @type {Map<number, string>} */
  const seen = new Map();
  labels.forEach((label, at) => {
    const typed = text(`pos${at + 1}`);
    const place = /^\+?\d+$/.test(typed) ? Number(typed) : refuse('Give every terminal its place, from the left.');
    if (seen.has(place)) refuse(`Two terminals are at place ${place}. Look again.`);
    seen.set(place, label);
  });
  return [...seen].sort(([a], [b]) => a - b).map(([, label]) => label);
}
