// @ts-check
/** The ranges of all instruments, as the page lists them once for all of its steps. */

/** @typedef {import('./judge.js').Row} Row */

/** @type {Record<string, Record<string, Row[]>> | null} */
let all = null;

/**
 * @param {string} instrument  its id
 * @param {string} unit  as the page prints it
 * @returns {Row[]}
 */
export function rangesOf(instrument, unit) {
  all ??= JSON.parse(document.getElementById('ranges')?.textContent ?? '{}');
  return all?.[instrument]?.[unit] ?? [];
}
