// @ts-check
/**
 * A verdict in the hand, where the phone can: one short for a pass, long and short for a fail, three short for
 * an inconclusive reading. Beside the page, never instead of it; off where little motion is asked for.
 */

/** On, off, on, in milliseconds. @type {Partial<Record<string, number[]>>} */
const PATTERNS = { pass: [40], fail: [240, 80, 40], inconclusive: [40, 60, 40, 60, 40] };

/**
 * What is felt when a verdict is saved: nothing while it stays what it was.
 * @param {string | undefined} kind
 * @param {string | undefined} before
 * @returns {number[] | null}
 */
export const patternFor = (kind, before) => (kind && kind !== before ? PATTERNS[kind] ?? null : null);

/**
 * @param {string | undefined} kind
 * @param {string | undefined} before
 */
export function feel(kind, before) {
  const pattern = patternFor(kind, before);
  const isStill = matchMedia('(prefers-reduced-motion: reduce)').matches;
  if (pattern && !isStill) navigator.vibrate?.(pattern);
}
