// @ts-check
/**
 * Exact decimal numbers as scaled integers, so that no binary fraction ever decides a verdict.
 *
 * A decimal is `units / 10^scale`. Sums and products are exact; only `ceilTo`, the quotients and
 * the root round, and they say which way.
 */

/** @typedef {{ units: bigint, scale: number }} Decimal */

const PLAIN = /^([-+]?)(\d*)(?:\.(\d*))?$/;

/**
 * Reads a plain number with a point, as the server prints it.
 * @param {string} text
 * @returns {Decimal | null}
 */
export function decimal(text) {
  const match = PLAIN.exec(text.trim());
  if (!match || (!match[2] && !match[3])) return null;
  const fraction = match[3] ?? '';
  const units = BigInt(match[2] + fraction);
  return { units: match[1] === '-' ? -units : units, scale: fraction.length };
}

/** @param {number} power */
const ten = (power) => 10n ** BigInt(power);

/** @param {Decimal} a @param {number} scale */
const unitsAt = (a, scale) => a.units * ten(scale - a.scale);

/** @param {Decimal} a @param {Decimal} b @returns {Decimal} */
export function add(a, b) {
  const scale = Math.max(a.scale, b.scale);
  return { units: unitsAt(a, scale) + unitsAt(b, scale), scale };
}

/** @param {Decimal} a @param {Decimal} b @returns {Decimal} */
export const subtract = (a, b) => add(a, { units: -b.units, scale: b.scale });

/** @param {Decimal} a @param {Decimal} b @returns {Decimal} */
export const multiply = (a, b) => ({ units: a.units * b.units, scale: a.scale + b.scale });

/**
 * Moves the decimal point to the left, or to the right when `places` is negative.
 * @param {Decimal} a
 * @param {number} places
 * @returns {Decimal}
 */
export function shift(a, places) {
  const scale = a.scale + places;
  return scale < 0 ? { units: a.units * ten(-scale), scale: 0 } : { units: a.units, scale };
}

/** @param {Decimal} a @returns {Decimal} */
export const absolute = (a) => ({ units: a.units < 0n ? -a.units : a.units, scale: a.scale });

/** Negative, zero or positive, as `a` is below, at or above `b`. @param {Decimal} a @param {Decimal} b */
export function compare(a, b) {
  const difference = subtract(a, b).units;
  return difference < 0n ? -1 : difference > 0n ? 1 : 0;
}

/**
 * Rounds a number that is not negative up to `places` decimals.
 * @param {Decimal} a
 * @param {number} places
 * @returns {Decimal}
 */
export function ceilTo(a, places) {
  if (a.scale <= places) return { units: unitsAt(a, places), scale: places };
  const divisor = ten(a.scale - places);
  return { units: (a.units + divisor - 1n) / divisor, scale: places };
}

/**
 * Rounds a number that is not negative down to `places` decimals.
 * @param {Decimal} a
 * @param {number} places
 * @returns {Decimal}
 */
export function floorTo(a, places) {
  if (a.scale <= places) return { units: unitsAt(a, places), scale: places };
  return { units: a.units / ten(a.scale - places), scale: places };
}

/**
 * A quotient rounded up to `places` decimals: towards the larger, also below zero.
 * @param {Decimal} a
 * @param {Decimal} b  above zero
 * @param {number} places
 * @returns {Decimal}
 */
export function quotientUp(a, b, places) {
  const scale = Math.max(a.scale, b.scale);
  const [over, under] = [unitsAt(a, scale) * ten(places), unitsAt(b, scale)];
  const whole = over / under;
  return { units: whole + (over > whole * under ? 1n : 0n), scale: places };
}

/**
 * A quotient of numbers that are not negative to the nearest `places` decimals; a half goes up.
 * @param {Decimal} a
 * @param {Decimal} b  above zero
 * @param {number} places
 * @returns {Decimal}
 */
export function quotientNear(a, b, places) {
  const scale = Math.max(a.scale, b.scale);
  const [over, under] = [unitsAt(a, scale) * ten(places), unitsAt(b, scale)];
  return { units: (over * 2n + under) / (under * 2n), scale: places };
}

/**
 * The root of a quotient that is not negative, rounded up to `places` decimals.
 * @param {Decimal} a
 * @param {Decimal} b  above zero
 * @param {number} places
 * @returns {Decimal}
 */
export function rootUp(a, b, places) {
  const scale = Math.max(a.scale, b.scale);
  const [over, under] = [unitsAt(a, scale) * ten(2 * places), unitsAt(b, scale)];
  const square = over / under;
  // Newton's way for whole numbers: from above, each step comes closer, and the last is the root.
  let root = square;
  for (let next = (root + 1n) / 2n; next < root; next = (root + square / root) / 2n) root = next;
  return { units: root * root * under >= over ? root : root + 1n, scale: places };
}

/** The number with all its decimals. @param {Decimal} a */
export function text(a) {
  const sign = a.units < 0n ? '-' : '';
  const digits = absolute(a).units.toString().padStart(a.scale + 1, '0');
  const whole = digits.slice(0, digits.length - a.scale);
  return a.scale === 0 ? sign + whole : `${sign}${whole}.${digits.slice(digits.length - a.scale)}`;
}

/** The number with no needless zeros, but at least `places` decimals. @param {Decimal} a @param {number} [places] */
export function shortText(a, places = 0) {
  let { units, scale } = a;
  for (; scale > places && units % 10n === 0n; scale -= 1) units /= 10n;
  return text(scale < places ? { units: units * ten(places - scale), scale: places } : { units, scale });
}
