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

/** @param {string} shape @param {string} word @param {string} sentence */
function parts(shape, word, sentence) {
  const icon = document.createElementNS(SVG, 'svg');
  icon.setAttribute('class', 'verdict__icon');
  icon.setAttribute('aria-hidden', 'true');
  const use = document.createElementNS(SVG, 'use');
  use.setAttribute('href', `#i-${shape}`);
  icon.append(use);
  const heading = document.createElement('b');
  heading.className = 'verdict__word';
  heading.textContent = word;
  const text = document.createElement('span');
  text.append(heading, ` ${sentence}`);
  return [icon, text];
}
