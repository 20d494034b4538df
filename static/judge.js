// @ts-check
/**
 * The verdict on a reading, worked out on the phone as a preview. The server's verdict counts; both
 * read the same limits, and the same cases in `tests/data/verdicts.json` hold them together.
 *
 * Guarded acceptance: a reading passes when it lies inside its limits by at least the expanded
 * uncertainty of the instrument, fails outside a limit, and is inconclusive in between.
 */

import { absolute, add, ceilTo, compare, decimal, multiply, shift, subtract, text } from './decimal.js';
import { valueSentence } from './advice.js';

/**
 * One range of an instrument: from, to, resolution, percent of reading, digits.
 * @typedef {[from: string, to: string, resolution: string, percent: string, digits: string]} Row
 * @typedef {'pass' | 'fail' | 'inconclusive' | 'uncounted'} Kind
 * @typedef {{ kind: Kind, sentence: string }} Verdict
 * @typedef {import('./decimal.js').Decimal} Decimal
 */

const SIGNIFICANT_DIGITS_MAX = 9;
const DECIMALS_MAX = 9;
const UNCERTAINTY_DECIMALS = 6;

/** A figure that can only be a size came out below zero. */
const TURNED = 'Below zero: probes or clamp are the wrong way round. Turn them and read again.';

/** Coverage factor 2 over the root of 3: twice the spread of a rectangular distribution. */
const COVERAGE = /** @type {Decimal} */ (decimal('1.1547005384'));

/**
 * Reads what a person typed: comma or point, any minus sign, spaces around it or between thousands.
 * @param {string} typed
 * @returns {string | null} the number as the server writes it, its decimals kept; null when it is none
 */
export function parseDecimal(typed) {
  const plain = typed.trim().replace(/\u2212/g, '-').replace(/^([-+])\s+/, '$1');
  const grouped = /^[-+]?\d{1,3}(\s+\d{3})+([.,]\d*)?$/.test(plain);
  const match = /^([-+]?)(\d*)(?:[.,](\d*))?$/.exec(grouped ? plain.replace(/\s/g, '') : plain);
  if (!match || (!match[2] && !match[3])) return null;
  const whole = match[2].replace(/^0+/, '');
  const fraction = match[3] ?? '';
  const significant = (whole + fraction).replace(/^0+/, '').length;
  if (significant > SIGNIFICANT_DIGITS_MAX || fraction.length > DECIMALS_MAX) return null;
  const sign = match[1] === '-' && significant > 0 ? '-' : '';
  return `${sign}${whole || '0'}${fraction && `.${fraction}`}`;
}

/**
 * The first range that holds the reading.
 * @param {string} value
 * @param {Row[]} rows
 */
export function rowFor(value, rows) {
  const size = absolute(known(value));
  return rows.find(([from, to]) => compare(known(from), size) <= 0 && compare(size, known(to)) <= 0);
}

/**
 * How far the instrument may be off at this reading, with a coverage factor of 2.
 *
 *     U = (|reading| · percent / 100 + digits · resolution) · 2/√3, rounded up to 6 decimals
 *
 * @param {string} value
 * @param {Row} row
 */
export function expandedUncertainty(value, row) {
  return text(uncertainty(known(value), row));
}

/**
 * The same for figures that are worked with.
 * @param {Decimal} value
 * @param {Row} row
 * @returns {Decimal}
 */
export function uncertainty(value, [, , resolution, percent, digits]) {
  const ofReading = shift(multiply(absolute(value), known(percent)), 2);
  const ofDigits = multiply(known(digits), known(resolution));
  return ceilTo(multiply(add(ofReading, ofDigits), COVERAGE), UNCERTAINTY_DECIMALS);
}

/**
 * @param {object} reading
 * @param {string} reading.value
 * @param {string} [reading.lower]
 * @param {string} [reading.upper]
 * @param {Row} [reading.row]  the range in use; none when the instrument does not reach the reading
 * @param {string} [reading.unit]  for the sentence
 * @param {string} [reading.tool]  for the sentence: wrench or meter
 * @returns {Verdict}
 */
export function judge({ value, lower, upper, row, unit = '', tool = 'meter' }) {
  const reading = known(value);
  if (reading.units < 0n && !lower) return { kind: 'uncounted', sentence: TURNED };
  if (!row || !rowFor(value, [row])) return valueSentence('uncounted', { value, unit, tool });
  const guard = uncertainty(reading, row);
  const kind = kindBetween(reading, guard, lower, upper);
  return valueSentence(kind, { value, lower, upper, guard, unit, tool });
}

/**
 * @param {Decimal} reading
 * @param {Decimal} guard
 * @param {string} [lower]
 * @param {string} [upper]
 * @returns {Kind}
 */
function kindBetween(reading, guard, lower, upper) {
  if (lower && compare(reading, known(lower)) < 0) return 'fail';
  if (upper && compare(reading, known(upper)) > 0) return 'fail';
  const clearBelow = !lower || compare(add(known(lower), guard), reading) <= 0;
  const clearAbove = !upper || compare(reading, subtract(known(upper), guard)) <= 0;
  return clearBelow && clearAbove ? 'pass' : 'inconclusive';
}

/**
 * A number that must be one: it came from `parseDecimal` or from the server.
 * @param {string} number
 * @returns {Decimal}
 */
export function known(number) {
  const parsed = decimal(number);
  if (!parsed) throw new TypeError(`not a number: ${number}`);
  return parsed;
}
