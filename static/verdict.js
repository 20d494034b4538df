// @ts-check
/**
 * Writes a verdict into the page: shape, word and sentence. The eye gets it at once, a screen reader
 * only when nobody has typed for a moment.
 */

/** @typedef {import('./judge.js').Verdict} Verdict */

const QUIET_MS = 600;
const SVG = 'http://www.w3.org/2000/svg';
const WORDS = { pass: 'Pass', fail: 'Fail', inconclusive: 'Inconclusive', uncounted: 'Not counted' };

/** @type {WeakMap<HTMLOutputElement, ReturnType<typeof setTimeout>>} */
const waiting = new WeakMap();

/** @param {HTMLOutputElement} output @param {Verdict | null} verdict */
export function showVerdict(output, verdict) {
  output.className = verdict ? `verdict verdict--${verdict.kind} cut` : 'verdict cut';
  say(output, verdict ? parts(verdict.kind, WORDS[verdict.kind], verdict.sentence) : []);
}

/** @param {HTMLOutputElement} output @param {string} question */
export function showQuestion(output, question) {
  output.className = 'verdict verdict--question cut';
  say(output, parts('question', 'One moment', question));
}

/** @param {HTMLOutputElement} output @param {Node[]} nodes */
function say(output, nodes) {
  clearTimeout(waiting.get(output));
  output.setAttribute('aria-live', 'off');
  output.replaceChildren(...nodes);
  waiting.set(output, setTimeout(() => {
    output.setAttribute('aria-live', 'polite');
    output.replaceChildren(...nodes);
  }, QUIET_MS));
}

/** @param {string} shape  one of `templates/components/icons.html` @param {string} className */
export function icon(shape, className) {
  const made = document.createElementNS(SVG, 'svg');
  made.setAttribute('class', className);
  made.setAttribute('aria-hidden', 'true');
  const use = document.createElementNS(SVG, 'use');
  use.setAttribute('href', `#i-${shape}`);
  made.append(use);
  return made;
}

/** As `templates/components/marks.html` prints it. @param {string} kind @param {string} word */
export function mark(kind, word) {
  const made = document.createElement('span');
  made.className = `mark mark--${kind}`;
  made.append(icon(kind, 'mark__icon'), word);
  return made;
}

/** @param {string} shape @param {string} word @param {string} sentence */
function parts(shape, word, sentence) {
  const heading = document.createElement('b');
  heading.className = 'verdict__word';
  heading.textContent = word;
  const text = document.createElement('span');
  text.append(heading, ` ${sentence}`);
  return [icon(shape, 'verdict__icon'), text];
}

/** Why a form was not taken, at its field or below it. @param {HTMLFormElement} form @param {string} sentence */
export function showFault(form, sentence) {
  let error = /** @type {HTMLElement | null} */ (form.querySelector('[data-error]'));
  if (!error) {
    error = document.createElement('p');
    error.className = 'reading__error';
    error.dataset.error = '';
    form.append(error);
  }
  error.hidden = false;
  error.setAttribute('role', 'alert');
  error.replaceChildren(icon('fail', 'icon'), sentence);
}
