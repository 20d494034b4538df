// @ts-check
/**
 * A reading while it is typed: the needle moves, the verdict stands below, Save names the value.
 * All of it is a preview; the server judges what was saved.
 */

import { decimal } from './decimal.js';
import { judgeRatio, milliohms } from './diagnosis.js';
import { expandedUncertainty, judge, parseDecimal, rowFor } from './judge.js';
import { drawGuards, moveNeedle } from './gauge.js';
import { isImplausible } from './plausible.js';
import { showQuestion, showVerdict } from './verdict.js';

/** @typedef {import('./judge.js').Row} Row */

/**
 * @typedef {object} Preview
 * @property {string | null} position  where the needle stands, on the scale of the gauge
 * @property {string} label  what Save will keep
 * @property {import('./judge.js').Verdict | null} verdict
 * @property {boolean} implausible
 */

/** @type {Preview} */
const NOTHING = { position: null, label: '', verdict: null, implausible: false };

/** @param {HTMLFormElement} form @param {string} name */
const typed = (form, name) => {
  const field = form.elements.namedItem(name);
  return field instanceof HTMLInputElement ? parseDecimal(field.value) : null;
};

/** @param {HTMLFormElement} form @param {string} name @returns {Row[]} */
function rowsOf(form, name) {
  const field = form.elements.namedItem(name);
  const chosen = field instanceof HTMLSelectElement ? field.selectedOptions[0] : field;
  return chosen instanceof HTMLElement ? JSON.parse(chosen.dataset.rows ?? '[]') : [];
}

/** @param {string} number */
const shown = (number) => number.replace('-', '\u2212');

/** @param {HTMLFormElement} form @returns {Preview} */
function previewOne(form) {
  const value = typed(form, 'value');
  if (value === null) return NOTHING;
  const { kind, lower, upper, unit = '' } = form.dataset;
  const row = rowFor(value, rowsOf(form, 'instrument'));
  const tool = kind === 'torque' ? 'wrench' : 'meter';
  return {
    position: value,
    label: `${shown(value)} ${unit}`.trim(),
    verdict: judge({ value, lower, upper, row, unit, tool }),
    implausible: isImplausible(value, lower, upper),
  };
}

/** @param {HTMLFormElement} form @returns {Preview} */
function previewRatio(form) {
  const [drop, current] = [typed(form, 'value'), typed(form, 'current')];
  const { limitMilliohm, plannedMilliohm, milliohmPerMetre } = form.dataset;
  if (drop === null || current === null || !limitMilliohm || !plannedMilliohm || !milliohmPerMetre) return NOTHING;
  const dropRow = rowFor(drop, rowsOf(form, 'instrument'));
  const currentRow = rowFor(current, rowsOf(form, 'current_instrument'));
  const size = decimal(drop.replace('-', ''));
  const amps = decimal(current);
  const path = size && amps && amps.units > 0n ? milliohms(size, amps) : null;
  return {
    position: path,
    label: `${shown(drop)} V at ${shown(current)} A`,
    verdict: judgeRatio({
      drop, current, limitMilliohm, plannedMilliohm, milliohmPerMetre, dropRow, currentRow,
    }),
    implausible: path !== null && isImplausible(path, undefined, limitMilliohm),
  };
}

/** @param {HTMLFormElement} form @returns {Preview} */
const preview = (form) => (form.dataset.kind === 'ratio' ? previewRatio(form) : previewOne(form));

/** @param {HTMLFormElement} form */
function guardsOf(form) {
  const rows = rowsOf(form, 'instrument');
  /** @param {string | undefined} limit */
  const at = (limit) => {
    const row = limit ? rowFor(limit, rows) : undefined;
    return limit && row ? expandedUncertainty(limit, row) : '0';
  };
  return { lower: at(form.dataset.lower), upper: at(form.dataset.upper) };
}

/** The line above the choice names what is chosen. @param {EventTarget | null} field */
function nameInstrument(field) {
  const chosen = field instanceof HTMLSelectElement && field.closest('details')?.querySelector('[data-chosen]');
  if (chosen) chosen.textContent = field.selectedOptions[0]?.text ?? '';
}

/**
 * @param {HTMLFormElement} form  with `data-step` and `data-kind`; other kinds of step are left alone
 */
export function wireReading(form) {
  const field = form.elements.namedItem('value');
  if (!(field instanceof HTMLInputElement) || field.inputMode !== 'decimal') return;
  const output = form.querySelector('output');
  const gauge = form.querySelector('[data-gauge]');
  const save = form.querySelector('[data-save]');
  const usual = save?.textContent ?? '';
  let asked = '';

  const update = () => {
    const now = preview(form);
    if (output) showVerdict(output, now.verdict);
    if (gauge) moveNeedle(gauge, now.position);
    if (save) save.textContent = now.label ? `Save ${now.label}` : usual;
  };
  const guard = () => {
    if (gauge && form.dataset.kind !== 'ratio') drawGuards(gauge, guardsOf(form));
  };
  form.addEventListener('input', update);
  form.addEventListener('change', ({ target }) => {
    nameInstrument(target);
    guard();
    update();
  });
  form.querySelector('[data-clear]')?.addEventListener('click', (event) => {
    event.preventDefault();
    field.value = '';
    field.dispatchEvent(new Event('input', { bubbles: true }));
    field.focus();
  });
  form.addEventListener('submit', (event) => {
    const now = preview(form);
    const isUnread = !now.label;
    showError(form, field, isUnread);
    if (isUnread) event.preventDefault();
    if (isUnread || !now.implausible || asked === now.label || !output) return;
    asked = now.label;
    event.preventDefault();
    // The server would ask too; it need not, once the person was asked here.
    const known = form.elements.namedItem('improbable');
    if (known instanceof HTMLInputElement) known.value = 'yes';
    showQuestion(output, `Is ${now.label} right? Save again to keep it.`);
  });
  guard();
  if (field.value) update();
}

/**
 * @param {HTMLFormElement} form
 * @param {HTMLInputElement} field
 * @param {boolean} isUnread
 */
function showError(form, field, isUnread) {
  const error = form.querySelector('[data-error]');
  if (error instanceof HTMLElement) error.hidden = !isUnread;
  if (!isUnread) field.removeAttribute('aria-invalid');
  if (!isUnread) return;
  field.setAttribute('aria-invalid', 'true');
  field.focus();
}
