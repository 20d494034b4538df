// @ts-check
/**
 * A path under load while it is typed: its verdict, and how much more than planned it has. A preview by
 * the rules of `server/domain/diagnosis.rs`; the cases in `tests/data/diagnosis.json` hold both together.
 */

import { KEPT } from './advice.js';
import { absolute, add, compare, multiply, quotientNear, quotientUp, rootUp, shift, subtract, text } from './decimal.js';
import { known, rowFor, uncertainty } from './judge.js';

/**
 * @typedef {import('./decimal.js').Decimal} Decimal
 * @typedef {import('./judge.js').Kind} Kind
 * @typedef {import('./judge.js').Row} Row
 * @typedef {import('./judge.js').Verdict} Verdict
 * @typedef {object} Path  what the sheet says, plain decimals
 * @property {string} limitMilliohm
 * @property {string} plannedMilliohm
 * @property {string} milliohmPerMetre
 * @typedef {object} Loaded  a drop and its current
 * @property {Decimal} volts  its size
 * @property {Decimal} amps  above zero
 * @property {Decimal} guardSquared  of the resistance, times the fourth power of the current
 */

const NO_CURRENT = 'No resistance follows from a drop without current. Load the path and read both.';
const OUT_OF_RANGE = 'Outside the range of an instrument. Choose one that covers the reading.';
const UNTOLD = 'which these meters cannot tell from nothing';
/** One sound joint, mΩ. */
const JOINT = '0.5';
const PLACES = 2;
const RATIO_DIGITS = 4;

const AGAINST_LIMIT = {
  pass: ['clear of', ''], fail: ['above', ''], inconclusive: ['nearer to', ' than the meters can tell'],
};
const NEXT = {
  pass: '',
  fail: ` Measure half of the path, then half of what is left, until one joint or cable is left. ${KEPT}`,
  inconclusive: ' Load it with more current, or measure straight across the path with a better meter.',
};

/**
 * Compared without dividing: with R the limit, the path passes when (R·i − v)·i is not negative and at
 * least the root of (Uv·i)² + (v·Ui)², which is i² times the uncertainty of v/i.
 * @param {Path & { drop: string, current: string, dropRow?: Row, currentRow?: Row }} reading
 * @returns {Verdict}
 */
export function judgeRatio({ drop, current, dropRow, currentRow, ...path }) {
  const [volts, amps] = [absolute(known(drop)), known(current)];
  if (amps.units <= 0n) return { kind: 'uncounted', sentence: NO_CURRENT };
  if (!dropRow || !rowFor(drop, [dropRow]) || !currentRow || !rowFor(current, [currentRow])) {
    return { kind: 'uncounted', sentence: OUT_OF_RANGE };
  }
  const fromDrop = multiply(uncertainty(volts, dropRow), amps);
  const fromCurrent = multiply(volts, uncertainty(amps, currentRow));
  const guardSquared = add(multiply(fromDrop, fromDrop), multiply(fromCurrent, fromCurrent));
  const loaded = { volts, amps, guardSquared };
  const kind = kindOf(beyond(loaded, path.limitMilliohm), guardSquared);
  return { kind, sentence: sentenceOf(kind, loaded, path) };
}

/** How far v lies beyond R·i, times i. @param {Loaded} loaded @param {string} milliohm */
const beyond = ({ volts, amps }, milliohm) =>
  multiply(subtract(volts, multiply(shift(known(milliohm), 3), amps)), amps);

/** @param {Decimal} over @param {Decimal} guardSquared @returns {'pass' | 'fail' | 'inconclusive'} */
function kindOf(over, guardSquared) {
  if (over.units > 0n) return 'fail';
  return compare(multiply(over, over), guardSquared) >= 0 ? 'pass' : 'inconclusive';
}

/** @param {'pass' | 'fail' | 'inconclusive'} kind @param {Loaded} loaded @param {Path} path */
function sentenceOf(kind, loaded, path) {
  const { volts, amps } = loaded;
  const [side, how] = AGAINST_LIMIT[kind];
  const measured = text(quotientUp(shift(volts, -3), amps, PLACES));
  return `The path has ${measured} mΩ ± ${openLeft(loaded)} mΩ, ${side} its limit of `
    + `${path.limitMilliohm} mΩ${how}. Planned ${path.plannedMilliohm} mΩ: ${againstPlan(loaded, path)}.`
    + NEXT[kind];
}

/** The expanded uncertainty in mΩ, rounded up. @param {Loaded} loaded */
function openLeft({ amps, guardSquared }) {
  const square = multiply(amps, amps);
  return text(rootUp(shift(guardSquared, -6), multiply(square, square), PLACES));
}

/** @param {Loaded} loaded @param {Path} path */
function againstPlan(loaded, path) {
  const over = beyond(loaded, path.plannedMilliohm);
  const isTold = compare(multiply(over, over), loaded.guardSquared) > 0;
  const [dividend, divisor] = [shift(over, -3), multiply(loaded.amps, loaded.amps)];
  const excess = text(absolute(quotientUp(dividend, divisor, PLACES)));
  const apart = `${excess} mΩ ± ${openLeft(loaded)} mΩ ${over.units < 0n ? 'less' : 'more'}`;
  if (over.units <= 0n) return isTold ? apart : `${apart}, ${UNTOLD}`;
  const cable = amount(dividend, multiply(divisor, known(path.milliohmPerMetre)));
  const joints = amount(dividend, multiply(divisor, known(JOINT)));
  const amounts = `${cable} m more of this cable or ${joints} joints of ${JOINT} mΩ`;
  return isTold ? `${apart}, which amounts to ${amounts}` : `${apart}, ${UNTOLD}; it would amount to ${amounts}`;
}

/** To a tenth; what would print as nothing says so. @param {Decimal} a @param {Decimal} b */
function amount(a, b) {
  const tenths = quotientNear(a, b, 1);
  return tenths.units === 0n ? 'less than 0.1' : text(tenths);
}

/** Volts over amperes for the needle, four digits. @param {Decimal} volts @param {Decimal} amps */
export function milliohms(volts, amps) {
  return String(Number(((Number(text(volts)) / Number(text(amps))) * 1000).toPrecision(RATIO_DIGITS)));
}
