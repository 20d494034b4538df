// @ts-check
/**
 * What a step's form comes to while it is typed: the needle's place, what Save will keep, the verdict. A
 * preview; the server judges what was saved.
 */

import { decimal } from './decimal.js';
import { judgeRatio, milliohms } from './diagnosis.js';
import { expandedUncertainty, judge, parseDecimal, rowFor } from './judge.js';
import { isImplausible } from './plausible.js';
import { rangesOf } from './ranges.js';
import { guardAt, judgeString, limitsAt } from './solar.js';

/** @typedef {import('./judge.js').Row} Row */

/**
 * @typedef {object} Preview
 * @property {string | null} position  where the needle stands, on the scale of the gauge
 * @property {string} label  what Save will keep
 * @property {import('./judge.js').Verdict | null} verdict
 * @property {boolean} implausible
 * @property {Limits | null} [limits]  where they follow what is typed
 * @typedef {{ lower: string, upper: string, guards: { lower: string, upper: string } }} Limits
 */

/** @type {Preview} */
const NOTHING = { position: null, label: '', verdict: null, implausible: false };

/** @param {HTMLFormElement} form @param {string} name */
const typed = (form, name) => {
  const field = form.elements.namedItem(name);
  return field instanceof HTMLInputElement ? parseDecimal(field.value) : null;
};

/** @param {HTMLFormElement} form @param {string} name @returns {Row[]} */
function rowsOf(form, name) {
  const field = form.elements.namedItem(name);
  return field instanceof HTMLSelectElement ? rangesOf(field.value, field.dataset.ranges ?? '') : [];
}

/** @param {string} number */
const shown = (number) => number.replace('-', '\u2212');

/** @param {HTMLFormElement} form @returns {Preview} */
function previewOne(form) {
  const value = typed(form, 'value');
  if (value === null) return NOTHING;
  const { kind, lower, upper, unit = '' } = form.dataset;
  const row = rowFor(value, rowsOf(form, 'instrument'));
  const tool = kind === 'torque' ? 'wrench' : 'meter';
  return {
    position: value,
    label: `${shown(value)} ${unit}`.trim(),
    verdict: judge({ value, lower, upper, row, unit, tool }),
    implausible: isImplausible(value, lower, upper),
  };
}

/** @param {HTMLFormElement} form @returns {Preview} */
function previewRatio(form) {
  const [drop, current] = [typed(form, 'value'), typed(form, 'current')];
  const { limitMilliohm, plannedMilliohm, milliohmPerMetre } = form.dataset;
  if (drop === null || current === null || !limitMilliohm || !plannedMilliohm || !milliohmPerMetre) return NOTHING;
  const dropRow = rowFor(drop, rowsOf(form, 'instrument'));
  const currentRow = rowFor(current, rowsOf(form, 'current_instrument'));
  const size = decimal(drop.replace('-', ''));
  const amps = decimal(current);
  const path = size && amps && amps.units > 0n ? milliohms(size, amps) : null;
  return {
    position: path,
    label: `${shown(drop)} V at ${shown(current)} A`,
    verdict: judgeRatio({
      drop, current, limitMilliohm, plannedMilliohm, milliohmPerMetre, dropRow, currentRow,
    }),
    implausible: path !== null && isImplausible(path, undefined, limitMilliohm),
  };
}

/** @param {HTMLFormElement} form @returns {Preview} */
function previewSolar(form) {
  const [voltage, cell] = [typed(form, 'value'), typed(form, 'cell')];
  const { stringVocV, inSeries, percentPerK, tolerancePercent, upperV } = form.dataset;
  if (cell === null || !stringVocV || !inSeries || !percentPerK || !tolerancePercent || !upperV) {
    return { ...NOTHING, limits: null };
  }
  const string = { stringVocV, inSeries, percentPerK, tolerancePercent, upperV };
  const rows = rowsOf(form, 'instrument');
  const cellRow = rowFor(cell, rowsOf(form, 'thermometer'));
  const found = limitsAt(cell, string);
  /** @param {string} limit */
  const guard = (limit) => guardAt(limit, { cell, voltageRow: rowFor(limit, rows), cellRow, ...string });
  const limits = found && { ...found, guards: { lower: guard(found.lower), upper: guard(found.upper) } };
  if (voltage === null) return { ...NOTHING, limits };
  return {
    position: found && Number(found.lower) < Number(found.upper) ? voltage : null,
    label: `${shown(voltage)} V at ${shown(cell)} °C`,
    verdict: judgeString({ voltage, cell, voltageRow: rowFor(voltage, rows), cellRow, ...string }),
    implausible: !found || isImplausible(voltage, found.lower, found.upper),
    limits,
  };
}

/** What is made of the form as it stands. @param {HTMLFormElement} form @returns {Preview} */
export function preview(form) {
  if (form.dataset.kind === 'solar_open') return previewSolar(form);
  return form.dataset.kind === 'ratio' ? previewRatio(form) : previewOne(form);
}

/** The guard bands at limits that stand fast. @param {HTMLFormElement} form */
export function guardsOf(form) {
  const rows = rowsOf(form, 'instrument');
  /** @param {string | undefined} limit */
  const at = (limit) => {
    const row = limit ? rowFor(limit, rows) : undefined;
    return limit && row ? expandedUncertainty(limit, row) : '0';
  };
  return { lower: at(form.dataset.lower), upper: at(form.dataset.upper) };
}
