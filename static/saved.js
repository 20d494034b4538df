// @ts-check
/** What was just saved, said where the person looks next. */

import { element, isCounted } from './overlay.js';
import { mark } from './verdict.js';

/** @typedef {import('./outbox.js').Row} Row */

/** A link that opens a step of this page and its form. @param {HTMLElement} step */
function correctLink(step) {
  const link = element('a', 'link', 'Correct');
  link.setAttribute('href', `#${step.id}`);
  link.addEventListener('click', (event) => {
    event.preventDefault();
    openStep(step);
  });
  return link;
}

/** Opens a step with its form, ready to be recorded again. @param {HTMLElement} step */
function openStep(step) {
  for (const fold of step.querySelectorAll('.step__fold, [data-again]')) {
    /** @type {HTMLDetailsElement} */ (fold).open = true;
  }
  step.scrollIntoView({ block: 'start' });
  step.querySelector('summary')?.focus({ preventScroll: true });
}

/**
 * On the step that opens: the one before, as it was saved, with the way to correct it.
 * @param {HTMLElement} next
 * @param {HTMLElement} step
 * @param {Row} row
 */
export function showSaved(next, step, row) {
  next.closest('#steps')?.querySelectorAll('.step__saved').forEach((old) => old.remove());
  const isFigure = ['reading', 'torque', 'fuse', 'path_drop', 'solar_open'].includes(row.kind);
  const number = step.id.replace('s-', '');
  const line = element('p', 'step__saved cut', isFigure ? `Step ${number}: ${row.value} ` : `Step ${number} `);
  if (row.verdict) line.append(mark(row.verdict.kind, row.verdict.word));
  line.append(correctLink(step));
  next.querySelector('summary')?.after(line);
}

/**
 * The end of the sheet: the form to sign, or that it is signed.
 * @param {HTMLElement} sheet
 * @param {Row[]} rows  of this job, in their order
 * @param {boolean} isDone  every step has its result
 */
export function showSigned(sheet, rows, isDone) {
  const sign = /** @type {HTMLElement | null} */ (sheet.querySelector('#sign'));
  if (!sign) return;
  const submit = rows.filter((row) => row.kind === 'submit').at(-1);
  const after = rows.filter((row) => isCounted(row) && row.place > (submit?.place ?? 0));
  const isSigned = submit ? submit.state !== 'refused' && after.length === 0 : sign.hasAttribute('data-submitted') && after.length === 0;
  sign.hidden = !isDone || (isSigned && !submit);
  const form = sign.querySelector('form');
  if (form) form.hidden = isSigned;
  const words = sign.querySelector('[data-signed]');
  if (!words) return;
  if (submit?.state === 'waiting') words.textContent = 'Signed, and saved on this phone. It is sent after everything else of this job.';
  if (submit?.state === 'sent') words.textContent = 'Signed and sent. A manager reviews it now.';
  if (submit?.state === 'refused') words.textContent = `Not accepted: ${submit.reason}`;
  /** @type {HTMLElement} */ (words).hidden = !submit;
}

/** The plan was changed while the phone was away: the server has a newer sheet. @param {HTMLElement} sheet */
export function showNewSheet(sheet) {
  if (sheet.querySelector('[data-new-sheet]')) return;
  const notice = element('p', 'notice notice--bad');
  notice.dataset.newSheet = '';
  notice.setAttribute('role', 'status');
  const link = element('a', 'link', 'Open the new sheet');
  link.setAttribute('href', location.pathname);
  const words = element('span', '', 'The plan was changed while this phone was away, and there is a new sheet. What you recorded is kept: what changed is due again there, with the reason. ');
  words.append(link);
  notice.append(words);
  sheet.prepend(notice);
}
