// @ts-check
/** The tape, the counts of the phases and the way to sign, drawn anew from the steps of the sheet. */

const SVG = 'http://www.w3.org/2000/svg';
const FLAGS = ['fail', 'inconclusive'];

/** @param {HTMLElement} step @param {boolean} isHere */
function stateOf(step, isHere) {
  if (isHere) return 'here';
  if (step.classList.contains('step--todo')) return 'todo';
  return step.hasAttribute('data-held') ? 'held' : 'done';
}

/** @param {string} kind @param {Element} rect */
function flag(kind, rect) {
  const middle = parseFloat(rect.getAttribute('x') ?? '0') + parseFloat(rect.getAttribute('width') ?? '0') / 2;
  const made = document.createElementNS(SVG, 'svg');
  made.setAttribute('class', `tape__flag tape__flag--${kind}`);
  made.setAttribute('x', `${middle.toFixed(2)}%`);
  made.setAttribute('overflow', 'visible');
  const use = document.createElementNS(SVG, 'use');
  use.setAttribute('href', `#flag-${kind}`);
  made.append(use);
  return made;
}

/**
 * @param {HTMLElement[]} steps  in their order
 * @param {HTMLElement | null} here  the open one
 */
export function drawTape(steps, here) {
  const tape = document.querySelector('.sheet-bar .tape');
  const rects = Array.from(tape?.querySelectorAll('rect') ?? []);
  tape?.querySelectorAll('.tape__flag').forEach((old) => old.remove());
  steps.forEach((step, at) => {
    const rect = rects[at];
    if (!rect) return;
    rect.setAttribute('class', `tape__mark tape__mark--${stateOf(step, step === here)}`);
    const kind = step.dataset.mark ?? '';
    if (FLAGS.includes(kind)) rect.parentNode?.append(flag(kind, rect));
    if (step === here) rect.parentNode?.append(flag('here', rect));
  });
  const done = steps.filter((step) => step.classList.contains('step--done')).length;
  tape?.querySelector('svg')?.setAttribute('aria-label', `${done} of ${steps.length} steps recorded`);
  const count = tape?.querySelector('.tape__count')?.firstChild;
  if (count) count.textContent = String(here ? steps.indexOf(here) + 1 : done);
}

/** @param {Element} sheet */
export function drawCounts(sheet) {
  for (const phase of sheet.querySelectorAll('section:has(.phase__count)')) {
    const all = phase.querySelectorAll('.step').length;
    const count = phase.querySelector('.phase__count');
    if (count) count.textContent = `${phase.querySelectorAll('.step--done').length} of ${all}`;
  }
}
