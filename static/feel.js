// @ts-check
/**
 * A verdict in the hand, where the phone can: one short for a pass, long and short for a fail, three short for
 * an inconclusive reading. Beside the page, never instead of it; off where little motion is asked for.
 */

import { preview } from './preview.js';

/** On, off, on, in milliseconds. @type {Partial<Record<string, number[]>>} */
const PATTERNS = { pass: [40], fail: [240, 80, 40], inconclusive: [40, 60, 40, 60, 40] };

/**
 * What is felt when a verdict is saved: nothing while it stays what it was.
 * @param {string | undefined} kind
 * @param {string | undefined} before
 * @returns {number[] | null}
 */
export const patternFor = (kind, before) => (kind && kind !== before ? PATTERNS[kind] ?? null : null);

/** The verdict that each step had last. @type {Map<string, string>} */
const last = new Map();

/**
 * @param {string} step
 * @param {string | undefined} kind
 * @param {string} [printed]  the verdict that the page came with
 */
export function feel(step, kind, printed) {
  const pattern = patternFor(kind, last.get(step) ?? printed);
  if (kind) last.set(step, kind);
  const isStill = matchMedia('(prefers-reduced-motion: reduce)').matches;
  if (pattern && !isStill) navigator.vibrate?.(pattern);
}

/** @param {HTMLFormElement} form  `data-step`, and `data-verdict`: that of its result, if it has one */
export function wireFeel(form) {
  if (typeof navigator.vibrate !== 'function' || !form.querySelector('input[inputmode="decimal"]')) return;
  form.addEventListener('submit', (event) => {
    if (event.defaultPrevented) return;
    feel(form.dataset.step ?? '', preview(form).verdict?.kind, form.dataset.verdict);
  });
}
