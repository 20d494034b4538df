// @ts-check
/**
 * The kit editor checks as one types: after a pause the text goes to the server, which keeps it as a draft,
 * and the parts of the answer that are marked take the place of the old ones. A fault leads to its line.
 */

import { askPage, takeParts } from './page-parts.js';

const WAIT_MS = 600;
const PARTS = ['kept', 'save', 'result'];
const NOT_KEPT = 'No answer: the last changes are only on this page. They are sent again at the next one.';

/**
 * Where a line begins and ends in a text; the last one where there are fewer.
 * @param {string} text
 * @param {number} line  from 1
 * @returns {[number, number]}
 */
export function rangeOfLine(text, line) {
  const lines = text.split('\n');
  const at = Math.min(Math.max(line, 1), lines.length) - 1;
  const start = lines.slice(0, at).reduce((sum, one) => sum + one.length + 1, 0);
  return [start, start + lines[at].length];
}

/** @param {HTMLTextAreaElement} field @param {number} line */
function goTo(field, line) {
  const [start, end] = rangeOfLine(field.value, line);
  field.focus();
  field.setSelectionRange(start, end);
  const height = field.scrollHeight / field.value.split('\n').length;
  field.scrollTop = Math.max(0, (line - 4) * height);
  field.scrollIntoView({ block: 'center' });
}

/** @param {HTMLFormElement} form  `data-kit` is where the text is checked */
export function wireKit(form) {
  const field = /** @type {HTMLTextAreaElement} */ (form.elements.namedItem('text'));
  const address = form.dataset.kit ?? '';
  let latest = 0;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let waiting;

  async function check() {
    clearTimeout(waiting);
    const turn = ++latest;
    const answer = await askPage('POST', address, new URLSearchParams({ text: field.value })).catch(() => null);
    // A later change is on its way: its answer counts.
    if (turn !== latest) return;
    if (answer) return takeParts(answer, document, PARTS);
    const kept = form.querySelector('[data-part="kept"]');
    if (kept) kept.textContent = NOT_KEPT;
  }

  field.addEventListener('input', () => {
    clearTimeout(waiting);
    waiting = setTimeout(check, WAIT_MS);
  });
  form.addEventListener('submit', (event) => {
    // What is saved needs no draft any more.
    clearTimeout(waiting);
    const button = event.submitter;
    if (button instanceof HTMLButtonElement && button.hasAttribute('formaction')) {
      event.preventDefault();
      check();
    }
  }, { capture: true });
  document.querySelector('[data-part="result"]')?.addEventListener('click', (event) => {
    const link = event.target instanceof Element ? event.target.closest('[data-line]') : null;
    if (!(link instanceof HTMLElement)) return;
    event.preventDefault();
    goTo(field, Number(link.dataset.line));
  });
}
