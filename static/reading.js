// @ts-check
/**
 * A reading while it is typed: the needle moves, the verdict stands below, Save names the value.
 * All of it is a preview; the server judges what was saved.
 */

import { drawGuards, moveNeedle, setLimits } from './gauge.js';
import { parseDecimal } from './judge.js';
import { guardsOf, preview } from './preview.js';
import { showQuestion, showVerdict } from './verdict.js';

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
    if (gauge && now.limits !== undefined) setLimits(gauge, now.limits);
    if (gauge && now.limits) drawGuards(gauge, now.limits.guards);
    if (gauge) moveNeedle(gauge, now.position);
    if (save) save.textContent = now.label ? `Save ${now.label}` : usual;
  };
  const guard = () => {
    if (gauge && (form.dataset.lower || form.dataset.upper)) drawGuards(gauge, guardsOf(form));
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
    showError(form, isUnread);
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
 * Marks the figures that are not understood and goes to the first of them.
 * @param {HTMLFormElement} form
 * @param {boolean} isUnread
 */
function showError(form, isUnread) {
  const error = form.querySelector('[data-error]');
  if (error instanceof HTMLElement) error.hidden = !isUnread;
  /** @type {HTMLInputElement[]} */
  const fields = Array.from(form.querySelectorAll('input[inputmode="decimal"]'));
  const unread = fields.filter(({ value }) => isUnread && parseDecimal(value) === null);
  for (const field of fields) field.removeAttribute('aria-invalid');
  for (const field of unread) field.setAttribute('aria-invalid', 'true');
  unread[0]?.focus();
}
