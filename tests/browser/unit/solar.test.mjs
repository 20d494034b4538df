// What is said of an open solar string, against the table that the server is tested with, too.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { decimal, floorTo, text } from '../../../static/decimal.js';
import { drawGuards, setLimits } from '../../../static/gauge.js';
import { parseDecimal, rowFor } from '../../../static/judge.js';
import { guardAt, judgeString, limitsAt } from '../../../static/solar.js';

const CASES = JSON.parse(readFileSync(new URL('../../data/solar.json', import.meta.url), 'utf8'));

/** The string as the form's data has it. */
const stringOf = (one) => ({
  stringVocV: one.string_voc_v,
  inSeries: String(one.in_series),
  percentPerK: one.percent_per_k,
  tolerancePercent: one.tolerance_percent,
  upperV: one.upper_v,
});

/** What is typed, with the ranges of the instruments. */
const readingOf = (one) => {
  const [voltage, cell] = [parseDecimal(one.voltage), parseDecimal(one.cell)];
  return {
    voltage,
    cell,
    voltageRow: rowFor(voltage, one.voltage_rows),
    cellRow: rowFor(cell, one.cell_rows),
    ...stringOf(one),
  };
};

for (const one of CASES) {
  test(`solar: ${one.name}`, () => {
    const verdict = judgeString(readingOf(one));
    assert.equal(verdict.kind, one.expect.kind);
    if (one.expect.sentence) assert.equal(verdict.sentence, one.expect.sentence);
    else assert.match(verdict.sentence, /^Outside the range/);
  });
}

for (const one of CASES.filter(({ expect }) => expect.kind !== 'uncounted')) {
  test(`solar limits: ${one.name}`, () => {
    const { lower, upper } = one.expect;
    assert.deepEqual(limitsAt(parseDecimal(one.cell), stringOf(one)), { lower, upper });
  });
}

test('the table holds every verdict', () => {
  const met = new Set(CASES.map(({ expect }) => expect.kind));
  assert.deepEqual([...met].sort(), ['fail', 'inconclusive', 'pass', 'uncounted']);
  assert.ok(CASES.length >= 50);
});

/** 21.6 V, -0.30 %/K: G15 of the check values, NEC 690.7(A) (from memory). */
const MODULE = {
  stringVocV: '21.6', inSeries: '1', percentPerK: '-0.30', tolerancePercent: '5', upperV: '20',
};

test('no cell is as warm as that, so there are no limits', () => {
  // By hand: 21.6 · 1.195 = 25.812 V, less 5 % is 24.5214 V; 21.6 · 0.775 = 16.74 V, ± 5 % 0.837 V.
  assert.deepEqual(limitsAt('-40', MODULE), { lower: '24.53', upper: '20' });
  assert.deepEqual(limitsAt('100', MODULE), { lower: '15.91', upper: '17.57' });
  assert.equal(limitsAt('-40.1', MODULE), null);
  assert.equal(limitsAt('100.1', MODULE), null);
});

test('the guard is that of both instruments, at the input\'s maximum that of the meter', () => {
  // U = 0.5 · 1.1547 = 0.577351 each: 0.0648 V/K moves the limits by 0.0375 V.
  const fixed = ['0', '1000', '0.1', '0', '5'];
  const reading = { cell: '60', voltageRow: fixed, cellRow: fixed, ...MODULE };
  assert.equal(guardAt('18.37', reading), '0.579');
  assert.equal(guardAt('20', reading), '0.577351');
  assert.equal(guardAt('20', { ...reading, cellRow: undefined }), '0');
});

const DOWN = [['1.999', '1.99'], ['2', '2.00'], ['2.001', '2.00'], ['0', '0.00']];
for (const [number, down] of DOWN) {
  test(`${number} rounded down is ${down}`, () => assert.equal(text(floorTo(decimal(number), 2)), down));
}

/** A gauge as the page has it, as far as it is touched. */
function gauge() {
  const element = (attributes = {}) => ({
    attributes,
    textContent: '',
    getAttribute: (name) => attributes[name] ?? null,
    setAttribute: (name, value) => { attributes[name] = value; },
  });
  const guards = { lower: element({ 'data-at': '' }), upper: element({ 'data-at': '' }) };
  const labels = [element(), element()];
  return {
    dataset: { from: '0', to: '1' },
    guards,
    labels,
    querySelector: (selector) => guards[/"(\w+)"/.exec(selector)[1]],
    querySelectorAll: () => labels,
  };
}

test('a gauge takes limits that follow the temperature, and gives them up again', () => {
  const drawn = gauge();
  drawGuards(drawn, { lower: '1', upper: '1' });
  assert.equal(drawn.guards.lower.attributes.width, undefined, 'nothing is known yet');
  setLimits(drawn, { lower: '38.00', upper: '42.00' });
  drawGuards(drawn, { lower: '0.4', upper: '0.2' });
  assert.deepEqual(drawn.dataset, { from: '36', to: '44' });
  assert.deepEqual(drawn.labels.map(({ textContent }) => textContent), ['38.00', '42.00']);
  assert.deepEqual(drawn.guards.lower.attributes, { 'data-at': '38.00', x: '25%', width: '5%' });
  assert.deepEqual(drawn.guards.upper.attributes, { 'data-at': '42.00', x: '72.5%', width: '2.5%' });
  for (const unknown of [null, { lower: '42.00', upper: '42.00' }]) {
    setLimits(drawn, unknown);
    assert.deepEqual(drawn.dataset, { from: '0', to: '1' });
    assert.deepEqual(drawn.labels.map(({ textContent }) => textContent), ['', '']);
    assert.equal(drawn.guards.upper.attributes.width, '0%');
  }
});
