// @ts-check
/**
 * An open solar string while it is typed: its limits follow the panel's temperature. A preview by the rules
 * of `server/domain/solar_open.rs`; the cases in `tests/data/solar.json` hold both together.
 */

import { KEPT } from './advice.js';
import {
  absolute, add, ceilTo, compare, floorTo, multiply, quotientNear, rootUp, shift, shortText, subtract, text,
} from './decimal.js';
import { known, rowFor, uncertainty } from './judge.js';

/**
 * @typedef {import('./decimal.js').Decimal} Decimal
 * @typedef {import('./judge.js').Row} Row
 * @typedef {import('./judge.js').Verdict} Verdict
 * @typedef {object} OpenString  what the sheet says, plain decimals
 * @property {string} stringVocV  of the whole string, cells at 25 °C
 * @property {string} inSeries
 * @property {string} percentPerK
 * @property {string} tolerancePercent
 * @property {string} upperV  the input's maximum
 * @typedef {{ expected: Decimal, least: Decimal, most: Decimal, upper: Decimal }} Band  volts
 * @typedef {{ name: string, inside: Decimal, guardSquared: Decimal }} Edge  inside is negative beyond it
 */

const OUT_OF_RANGE = 'Outside the range of an instrument. Choose one that covers the reading.';
const [STANDARD, COLDEST, HOTTEST] = ['25', '-40', '100'].map(known);
const [ONE, HUNDRED] = ['1', '100'].map(known);
const PLACES = 2;

const AGAIN = 'put it right and measure again.';
const REVERSED = `Wrong polarity: stop. Leave the input unplugged, find where plus and minus are swapped, ${AGAIN}`;
const LOOK = `Leave the input unplugged, look along the string, ${AGAIN}`;
const COMPARE = 'Leave the input unplugged, compare the modules and their number in series with the plan, ' + AGAIN;
const STEADY = 'Measure again in full, steady sun with the probe shaded and pressed on, or with better instruments.';

/** Whether cells in daylight can be as warm as that. @param {Decimal} cell */
const isCell = (cell) => compare(cell, COLDEST) >= 0 && compare(cell, HOTTEST) <= 0;

/** @param {Decimal} cell @param {OpenString} string @returns {Band} */
function bandAt(cell, { stringVocV, percentPerK, tolerancePercent, upperV }) {
  const percent = add(HUNDRED, multiply(known(percentPerK), subtract(cell, STANDARD)));
  const expected = shift(multiply(known(stringVocV), percent), 2);
  const aside = shift(multiply(expected, known(tolerancePercent)), 2);
  return { expected, least: subtract(expected, aside), most: add(expected, aside), upper: known(upperV) };
}

/** What so many kelvin more move the expected voltage by. @param {Decimal} kelvin @param {OpenString} string */
const movedBy = (kelvin, { stringVocV, percentPerK }) =>
  shift(multiply(multiply(known(stringVocV), known(percentPerK)), kelvin), 2);

/**
 * The limits as printed, inwards to a hundredth of a volt; none where no cell is as warm as that.
 * @param {string} cell
 * @param {OpenString} string
 * @returns {{ lower: string, upper: string } | null}
 */
export function limitsAt(cell, string) {
  if (!isCell(known(cell))) return null;
  const { least, most, upper } = bandAt(known(cell), string);
  const high = floorTo(most, PLACES);
  return { lower: text(ceilTo(least, PLACES)), upper: text(compare(upper, high) <= 0 ? upper : high) };
}

/**
 * How much both instruments leave open at a voltage, for drawing only.
 * @param {string} volts
 * @param {{ cell: string, voltageRow?: Row, cellRow?: Row } & OpenString} reading
 */
export function guardAt(volts, { cell, voltageRow, cellRow, ...string }) {
  if (!voltageRow || !cellRow) return '0';
  const ofMeter = uncertainty(known(volts), voltageRow);
  if (compare(known(volts), known(string.upperV)) === 0) return text(ofMeter);
  const ofCell = movedBy(uncertainty(known(cell), cellRow), string);
  return text(rootUp(add(multiply(ofMeter, ofMeter), multiply(ofCell, ofCell)), ONE, PLACES + 1));
}

/**
 * Compared without a root: at each edge what is left inside, squared, against the guard, squared.
 * @param {{ voltage: string, cell: string, voltageRow?: Row, cellRow?: Row } & OpenString} reading
 * @returns {Verdict}
 */
export function judgeString({ voltage, cell, voltageRow, cellRow, ...string }) {
  const [volts, warm] = [known(voltage), known(cell)];
  if (!voltageRow || !rowFor(voltage, [voltageRow]) || !cellRow || !rowFor(cell, [cellRow])) {
    return { kind: 'uncounted', sentence: OUT_OF_RANGE };
  }
  if (!isCell(warm)) return { kind: 'uncounted', sentence: noCell(volts, warm) };
  const band = bandAt(warm, string);
  const [ofMeter, ofCell] = [uncertainty(volts, voltageRow), movedBy(uncertainty(warm, cellRow), string)];
  const meterSquared = multiply(ofMeter, ofMeter);
  const guardSquared = add(meterSquared, multiply(ofCell, ofCell));
  const edges = [
    { name: "the input's maximum", inside: subtract(band.upper, volts), guardSquared: meterSquared },
    { name: 'the lower limit', inside: subtract(volts, band.least), guardSquared },
    { name: 'the upper limit', inside: subtract(band.most, volts), guardSquared },
  ];
  const should = shouldGive(warm, band);
  if (volts.units < 0n) return { kind: 'fail', sentence: `${REVERSED} ${should}. ${KEPT}` };
  const head = `${should}; it gives ${apart(volts, band.expected, guardSquared)}.`;
  if (edges.some(({ inside }) => inside.units < 0n)) {
    const why = edges[0].inside.units < 0n
      ? `That is more than the input is made for. ${COMPARE}`
      : amounts(volts, band.expected, string.inSeries);
    return { kind: 'fail', sentence: `${head} ${why} ${KEPT}` };
  }
  const near = edges.find(isUnclear);
  if (!near) return { kind: 'pass', sentence: `${head} Clear of the limits.` };
  return { kind: 'inconclusive', sentence: `${head} Nearer to ${near.name} than the instruments can tell. ${STEADY}` };
}

/** @param {Edge} edge */
const isUnclear = ({ inside, guardSquared }) => compare(multiply(inside, inside), guardSquared) < 0;

/** @param {Decimal} a */
const plain = (a) => shortText(a).replace('-', '\u2212');

/** @param {Decimal} volts @param {Decimal} warm */
const noCell = (volts, warm) =>
  `No cell in daylight has ${plain(warm)} °C; ${plain(COLDEST)} °C to ${plain(HOTTEST)} °C are taken. Press the `
  + 'shaded probe to the back of a module, in its middle, and read both again.'
  + (volts.units < 0n ? ' The minus sign of the voltage means wrong polarity: stop.' : '');

/** @param {Decimal} warm @param {Band} band */
const shouldGive = (warm, { expected, least, most, upper }) =>
  `With cells at ${plain(warm)} °C the string should give ${text(quotientNear(expected, ONE, PLACES))} V `
  + `(${text(ceilTo(least, PLACES))} V to ${text(floorTo(most, PLACES))} V, never above ${plain(upper)} V)`;

/** @param {Decimal} volts @param {Decimal} expected @param {Decimal} guardSquared */
function apart(volts, expected, guardSquared) {
  const off = subtract(volts, expected);
  const size = absolute(off);
  return `${text(quotientNear(size, ONE, PLACES))} V ± ${text(rootUp(guardSquared, ONE, PLACES))} V `
    + `${off.units < 0n ? 'less' : 'more'}, ${text(quotientNear(shift(size, -2), expected, 1))} %`;
}

/**
 * What the deviation comes to in modules, and what to do.
 * @param {Decimal} volts
 * @param {Decimal} expected
 * @param {string} inSeries
 */
function amounts(volts, expected, inSeries) {
  const off = subtract(volts, expected);
  const count = quotientNear(multiply(absolute(off), known(inSeries)), expected, 0).units;
  const planned = BigInt(inSeries);
  if (off.units >= 0n) {
    return `${count === 0n
      ? 'That is less than half a module: other modules than planned, or cells cooler than was measured.'
      : `That comes nearest to ${count + planned} modules where the plan has ${planned}.`} ${COMPARE}`;
  }
  if (count === 0n) {
    return `That is less than half a module: low sun, haze, a covered part or a shorted bypass diode. ${LOOK}`;
  }
  return `That comes nearest to ${count < planned
    ? `${count} of ${planned} modules: missing, shaded or, counting twice, reversed.`
    : 'the whole string: an open connector, a cover, no light, or modules against each other.'} ${LOOK}`;
}
