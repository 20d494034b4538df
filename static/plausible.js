// @ts-check
/**
 * Whether a figure looks like a slipped decimal point. Such a figure is asked about once, then kept
 * as typed. A wrong answer here costs one more press, never a reading.
 */

import { absolute, compare, decimal, multiply } from './decimal.js';

/** @param {string | undefined} text */
const size = (text) => {
  const number = text ? decimal(text) : null;
  return number && number.units !== 0n ? absolute(number) : null;
};

const TEN = { units: 10n, scale: 0 };
const FIVE = { units: 5n, scale: 0 };
const TENTH = { units: 1n, scale: 1 };
const FIFTH = { units: 2n, scale: 1 };

/**
 * Ten times a good reading lies from ten times the lower to ten times the upper limit; with one limit
 * missing, five times the other stands for it. The same downwards. A figure within its limits is no slip:
 * nought is the best there is between -0.5 V and 0.5 V.
 * @param {string} value
 * @param {string} [lower]
 * @param {string} [upper]
 */
export function isImplausible(value, lower, upper) {
  const number = decimal(value);
  if (!number) return false;
  const [from, to] = [lower, upper].map((limit) => (limit ? decimal(limit) : null));
  if (from && to && compare(from, number) <= 0 && compare(number, to) <= 0) return false;
  const reading = absolute(number);
  const [low, high] = [size(lower), size(upper)];
  if (high && compare(reading, multiply(high, FIVE)) >= 0) {
    return !low || compare(reading, multiply(low, TEN)) >= 0;
  }
  if (low && compare(reading, multiply(low, FIFTH)) <= 0) {
    return !high || compare(reading, multiply(high, TENTH)) <= 0;
  }
  return false;
}
