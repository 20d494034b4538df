// @ts-check
/**
 * What a verdict tells the person to do: one or two sentences, with the figures put in. It takes the
 * place of no maker's instruction.
 */

import { absolute, add, ceilTo, compare, decimal, multiply, shift, shortText, subtract, text } from './decimal.js';

/**
 * @typedef {import('./decimal.js').Decimal} Decimal
 * @typedef {import('./judge.js').Kind} Kind
 * @typedef {import('./judge.js').Verdict} Verdict
 * @typedef {object} Reading
 * @property {string} value
 * @property {string} [lower]
 * @property {string} [upper]
 * @property {Decimal} [guard]
 * @property {string} unit
 * @property {string} tool  wrench or meter
 */

export const KEPT = 'The first reading stays on the sheet.';
const UNCERTAINTY_DIGITS = 2;

/**
 * @param {Kind} kind
 * @param {Reading} reading
 * @returns {Verdict}
 */
export function valueSentence(kind, reading) {
  const say = { pass: passing, fail: failing, inconclusive: unclear, uncounted: outOfRange }[kind];
  return { kind, sentence: say(reading) };
}

/** @param {Reading} reading */
function passing({ lower, upper, guard, unit, tool }) {
  const limits = lower && upper ? 'both limits' : 'the limit';
  return `Inside ${limits}, even if the ${tool} is off by ${amount(guard, unit)}.`;
}

/** @param {Reading} reading */
function failing(reading) {
  const { value, lower, upper, unit, tool } = reading;
  const above = upper && compare(known(value), known(upper)) > 0;
  const off = subtract(known(value), known(/** @type {string} */ (above ? upper : lower)));
  const how = `${above ? 'Above' : 'Below'} the limit by ${withUnit(shortText(absolute(off)), unit)}`;
  if (tool !== 'wrench') return `${how}. Find the cause, put it right, then measure again. ${KEPT}`;
  if (!above) return `${how}. Set the wrench to ${aim(reading)} and pull again. ${KEPT}`;
  return `${how}: the fastener may be stretched. Follow the maker's instruction, then tighten to `
    + `${aim(reading)} again. ${KEPT}`;
}

/** @param {Reading} reading */
function unclear(reading) {
  const { value, lower, upper, guard, unit, tool } = reading;
  const tells = `than the ${tool} can tell (${amount(guard, unit)})`;
  if (lower && upper && guard && isTooCoarse(lower, upper, guard)) {
    return `The limits are closer together ${tells}. Take a finer ${tool}.`;
  }
  const above = upper && (!lower || isNearer(value, upper, lower));
  const which = lower && upper ? `the ${above ? 'upper' : 'lower'} limit` : 'the limit';
  const near = `Nearer to ${which} ${tells}.`;
  if (tool !== 'wrench') return `${near} Measure again with a finer instrument or a better method.`;
  return `${near} ${above ? 'Slacken, set' : 'Set'} the wrench to ${aim(reading)} and pull again.`;
}

/** @param {Reading} reading */
const outOfRange = ({ value, unit, tool }) =>
  `Outside the range of this ${tool}. Choose one that covers ${withUnit(value.replace('-', '\u2212'), unit)}.`;

/** @param {string} lower @param {string} upper @param {Decimal} guard */
const isTooCoarse = (lower, upper, guard) =>
  compare(add(guard, guard), subtract(known(upper), known(lower))) > 0;

/** @param {string} value @param {string} one @param {string} other */
const isNearer = (value, one, other) =>
  compare(absolute(subtract(known(value), known(one))), absolute(subtract(known(value), known(other)))) < 0;

/** The middle of the limits, or the only one. @param {Reading} reading */
function aim({ lower, upper }) {
  const low = known(/** @type {string} */ (lower ?? upper));
  const high = known(/** @type {string} */ (upper ?? lower));
  const middle = multiply(add(low, high), { units: 5n, scale: 1 });
  return shortText(middle, Math.min(low.scale, high.scale));
}

/** An uncertainty, rounded up to two digits. @param {Decimal | undefined} guard @param {string} unit */
function amount(guard, unit) {
  if (!guard) return withUnit('0', unit);
  const leading = guard.units.toString().length;
  const places = Math.max(guard.scale - leading + UNCERTAINTY_DIGITS, 0);
  return withUnit(shortText(ceilTo(guard, places)), unit);
}

/** @param {string} number @param {string} unit */
const withUnit = (number, unit) => (unit ? `${number} ${unit}` : number);

/** @param {string} number @returns {Decimal} */
const known = (number) => /** @type {Decimal} */ (decimal(number));
