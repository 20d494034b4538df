// The verdict on the phone against the table that the server is tested with, too.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { judgeRatio } from '../../../static/diagnosis.js';
import { expandedUncertainty, judge, parseDecimal, rowFor } from '../../../static/judge.js';

const CASES = JSON.parse(readFileSync(new URL('../../data/verdicts.json', import.meta.url), 'utf8'));
/** What the ratios are compared with beside their limit; no verdict rests on it. */
const PLAN = { plannedMilliohm: '5', milliohmPerMetre: '1.2' };
const WRENCH = ['5', '60', '0.1', '3', '1'];

for (const one of CASES.filter(({ kind }) => kind === 'value')) {
  test(`verdict: ${one.name}`, () => {
    const value = parseDecimal(one.value);
    const row = rowFor(value, one.rows);
    const verdict = judge({ value, lower: one.lower ?? '', upper: one.upper ?? '', row });
    assert.equal(verdict.kind, one.expect.kind);
    assert.equal(row && verdict.kind !== 'uncounted' ? expandedUncertainty(value, row) : null, one.expect.uncertainty);
    assert.match(verdict.sentence, /\.$/);
  });
}

for (const one of CASES.filter(({ kind }) => kind === 'ratio')) {
  test(`verdict: ${one.name}`, () => {
    const [drop, current] = [parseDecimal(one.drop), parseDecimal(one.current)];
    const dropRow = rowFor(drop, one.drop_rows);
    const currentRow = rowFor(current, one.current_rows);
    const verdict = judgeRatio({
      drop, current, limitMilliohm: one.limit_milliohm, ...PLAN, dropRow, currentRow,
    });
    assert.equal(verdict.kind, one.expect.kind);
    assert.match(verdict.sentence, /\.$/);
    if (one.expect.drop_uncertainty) {
      assert.equal(expandedUncertainty(drop, dropRow), one.expect.drop_uncertainty);
      assert.equal(expandedUncertainty(current, currentRow), one.expect.current_uncertainty);
    }
  });
}

test('the table holds every verdict of both kinds', () => {
  const met = new Set(CASES.map(({ kind, expect }) => `${kind} ${expect.kind}`));
  assert.equal(met.size, 8);
  assert.ok(CASES.length >= 60);
});

const TYPED = [
  ['10.4', '10.4'], ['10,4', '10.4'], [' 10.4 ', '10.4'], ['10.40', '10.40'], ['007.5', '7.5'],
  ['.5', '0.5'], ['5.', '5'], ['+3', '3'], ['-3', '-3'], ['\u22123', '-3'], ['\u2212 3', '-3'],
  ['-0', '0'], ['-0.0', '0.0'], ['0', '0'], ['1 250', '1250'], ['1  250', '1250'], ['1\u202f250,5', '1250.5'],
  ['123456789', '123456789'], ['0.000000001', '0.000000001'], ['0.123456789', '0.123456789'],
];
for (const [typed, read] of TYPED) {
  test(`"${typed}" reads as ${read}`, () => assert.equal(parseDecimal(typed), read));
}

const REFUSED = [
  '', ' ', '.', ',', '-', 'abc', '10.4 V', '1.2.3', '1,250.5', '1e3', '0x10', '--1', '10 4', '1 2500',
  '1.5 234', '1 234.567 890',
  '1234567890', '1.234567890', '0.1234567891', '0.0000000001', 'Infinity', 'NaN', '\u0661',
];
for (const typed of REFUSED) {
  test(`"${typed}" is not read as a number`, () => assert.equal(parseDecimal(typed), null));
}

test('a failing torque says by how much and what to do', () => {
  const reading = { lower: '9.0', upper: '11.0', row: WRENCH, unit: 'N·m', tool: 'wrench' };
  assert.equal(judge({ value: '8.2', ...reading }).sentence,
    'Below the limit by 0.8 N·m. Set the wrench to 10.0 and pull again. '
    + 'The first reading stays on the sheet.');
  assert.match(judge({ value: '12.2', ...reading }).sentence, /^Above the limit by 1.2 N·m: the fastener/);
});

test('an inconclusive torque near the upper limit is slackened first', () => {
  const row = ['5', '60', '0.1', '1.5', '1'];
  const verdict = judge({ value: '24.8', lower: '20.0', upper: '25.0', row, unit: 'N·m', tool: 'wrench' });
  // By hand: (24.8 * 0.015 + 0.1) * 1.1547 = 0.5450, shown as 0.55.
  assert.equal(verdict.sentence, 'Nearer to the upper limit than the wrench can tell (0.55 N·m). '
    + 'Slacken, set the wrench to 22.5 and pull again.');
});

test('limits that no reading can clear ask for a finer instrument', () => {
  const verdict = judge({ value: '10', lower: '9.8', upper: '10.2', row: WRENCH, unit: 'N·m', tool: 'wrench' });
  assert.match(verdict.sentence, /Take a finer wrench\.$/);
});
