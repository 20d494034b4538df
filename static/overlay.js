// @ts-check
/**
 * What this phone knows beyond the page on the screen, painted over it: a page is as old as its copy, the
 * outbox is not.
 */

import { icon, mark } from './verdict.js';

/** @typedef {import('./outbox.js').Row} Row */

const WORDS = {
  waiting: 'saved on this phone', sent: 'sent', refused: 'not accepted', aside: 'not accepted, put away',
};

/** @param {string} name @param {string} className @param {string} [text] */
export function element(name, className, text = '') {
  const made = document.createElement(name);
  made.className = className;
  made.textContent = text;
  return made;
}

/** @param {number} at */
export const clock = (at) => new Date(at).toLocaleTimeString([], { hour: '2-digit', minute: '2-digit' });

/** @param {Row} row */
const isResult = ({ kind }) => kind !== 'remark' && kind !== 'submit';

/** A result that the server will count, as far as the phone can tell. @param {Row} row */
export const isCounted = (row) => isResult(row) && row.state !== 'refused' && row.state !== 'aside'
  && (row.verdict?.kind !== 'uncounted' || row.kind === 'unable');

/** @param {Row} row */
function historyEntry(row) {
  const item = element('li', 'history__entry');
  item.dataset.entry = row.id;
  item.append(element('b', 'history__value', row.value));
  if (row.verdict) item.append(mark(row.verdict.kind, row.verdict.word));
  const note = row.state === 'refused' ? `Not accepted: ${row.reason}` : row.verdict?.sentence ?? '';
  item.append(element('span', 'history__note', note));
  item.append(element('span', 'history__who', `${row.personName}, ${clock(row.at)}, ${WORDS[row.state]}`));
  return item;
}

/** @param {HTMLElement} step @param {Row} row */
function paintHistory(step, row) {
  const block = step.querySelector('[data-history]');
  if (!block) return;
  const list = block.querySelector('.history') ?? element('ol', 'history');
  const entry = historyEntry(row);
  const before = list.querySelector(`[data-entry="${row.id}"]`);
  if (before) before.replaceWith(entry);
  else list.prepend(entry);
  if (!list.parentNode) block.append(list);
}

/** The line of the step: its result, its mark, and whether it is only here. @param {HTMLElement} step @param {Row} row */
function paintLine(step, row) {
  const result = step.querySelector('.step__result');
  const { verdict } = row;
  if (!result || !verdict) return;
  const shown = [mark(verdict.kind, verdict.word)];
  const figure = /^(\S+) (\S+)$/.exec(row.value);
  if (figure && ['reading', 'torque', 'fuse'].includes(row.kind)) {
    const value = element('span', 'step__value', `${figure[1]} `);
    value.append(element('small', '', figure[2]));
    shown.unshift(value);
  }
  result.replaceChildren(...shown);
  step.dataset.mark = verdict.kind;
}

/** Folds the form away and readies it for a correction of this row. @param {HTMLElement} step @param {Row} row */
function foldForm(step, row) {
  if (step.dataset.supersedes === row.id) return;
  step.dataset.supersedes = row.id;
  const again = /** @type {HTMLDetailsElement | null} */ (step.querySelector('[data-again]'));
  if (again) again.open = false;
  const form = again?.querySelector('form');
  if (form) readyForm(form, row.id);
}

/** Empties a form, for what replaces the entry. @param {HTMLFormElement} form @param {string} supersedes  its id */
export function readyForm(form, supersedes) {
  form.reset();
  for (const [name, value] of Object.entries({ supersedes, improbable: '' })) {
    const field = form.elements.namedItem(name);
    if (field instanceof HTMLInputElement) field.value = value;
  }
  form.querySelectorAll('[data-preview]').forEach((preview) => preview.replaceChildren());
  form.dispatchEvent(new Event('input', { bubbles: true }));
}

/**
 * Paints one row onto its step.
 * @param {HTMLElement} step  the item of the list
 * @param {Row} row
 */
export function paintRow(step, row) {
  paintHistory(step, row);
  const number = step.querySelector('.step__number');
  number?.querySelector('[data-unsent]')?.remove();
  if (row.state === 'waiting' && number) {
    const unsent = icon('held', 'icon');
    unsent.setAttribute('data-unsent', '');
    number.append(unsent);
  }
  step.toggleAttribute('data-held', row.state === 'waiting');
  if (!isCounted(row)) return;
  step.classList.replace('step--todo', 'step--done');
  paintLine(step, row);
  foldForm(step, row);
}
