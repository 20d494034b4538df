// @ts-check
/** A key that changes the sign: the number pads of some phones have no minus. */

/**
 * Whether a figure of this step may be below zero: temperatures, a string (its minus says wrong polarity), limits
 * that reach below zero, and figures without limits.
 * @param {Record<string, string | undefined>} marks  the form's `data-…`
 */
export function mayBeNegative({ kind, unit, lower, upper }) {
  if (kind === 'solar_open') return true;
  return kind === 'reading' && (unit === '°C' || Boolean(lower?.startsWith('-')) || (!lower && !upper));
}

/** @param {string} typed */
export function turned(typed) {
  const [, sign, rest] = /^\s*([-+\u2212]?)\s*(.*)$/s.exec(typed) ?? ['', '', typed];
  return sign === '-' || sign === '\u2212' ? rest : `-${rest}`;
}

/** @param {HTMLFormElement} form  with `data-step`; fields in boxes that the key is put into */
export function wireSign(form) {
  if (!mayBeNegative(form.dataset) || !matchMedia('(pointer: coarse)').matches) return;
  /** @type {NodeListOf<HTMLInputElement>} */
  const fields = form.querySelectorAll('input[inputmode="decimal"]');
  for (const field of fields) field.before(keyOf(field));
}

/** @param {HTMLInputElement} field */
function keyOf(field) {
  const key = document.createElement('button');
  key.type = 'button';
  key.className = 'reading__sign';
  key.textContent = '\u00b1';
  key.setAttribute('aria-label', 'Change the sign');
  key.setAttribute('aria-controls', field.id);
  // A press would take the focus, and with it the number pad.
  key.addEventListener('mousedown', (event) => event.preventDefault());
  key.addEventListener('click', () => {
    const behind = field.value.length - (field.selectionEnd ?? field.value.length);
    field.value = turned(field.value);
    field.focus({ preventScroll: true });
    const caret = Math.max(0, field.value.length - behind);
    field.setSelectionRange(caret, caret);
    field.dispatchEvent(new Event('input', { bubbles: true }));
  });
  return key;
}
