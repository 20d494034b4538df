// What is said of a path under load, against the table that the server is tested with, too.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { decimal, quotientNear, quotientUp, rootUp, text } from '../../../static/decimal.js';
import { judgeRatio } from '../../../static/diagnosis.js';
import { parseDecimal, rowFor } from '../../../static/judge.js';

const CASES = JSON.parse(readFileSync(new URL('../../data/diagnosis.json', import.meta.url), 'utf8'));

for (const one of CASES) {
  test(`diagnosis: ${one.name}`, () => {
    const [drop, current] = [parseDecimal(one.drop), parseDecimal(one.current)];
    const verdict = judgeRatio({
      drop,
      current,
      limitMilliohm: one.limit_milliohm,
      plannedMilliohm: one.planned_milliohm,
      milliohmPerMetre: one.milliohm_per_metre,
      dropRow: rowFor(drop, one.drop_rows),
      currentRow: rowFor(current, one.current_rows),
    });
    assert.deepEqual(verdict, { kind: one.expect.kind, sentence: one.expect.sentence });
  });
}

test('the table holds every verdict and every standing', () => {
  const met = new Set(CASES.flatMap(({ expect }) => [expect.kind, expect.standing]));
  assert.deepEqual([...met].sort(), ['fail', 'inconclusive', 'less', 'more', 'pass', 'within']);
});

const QUOTIENTS = [
  ['0.2', '20', '0.01', '0.0'], ['-0.2', '20', '-0.01', null], ['1', '3', '0.34', '0.3'],
  ['-1', '3', '-0.33', null], ['1', '4', '0.25', '0.3'], ['0', '7', '0.00', '0.0'],
];
for (const [a, b, up, near] of QUOTIENTS) {
  test(`${a} over ${b} rounded up is ${up}, to the nearest tenth ${near ?? 'not asked'}`, () => {
    assert.equal(text(quotientUp(decimal(a), decimal(b), 2)), up);
    if (near) assert.equal(text(quotientNear(decimal(a), decimal(b), 1)), near);
  });
}

const ROOTS = [
  ['4', '1', '2.00'], ['4.00000001', '1', '2.01'], ['2', '1', '1.42'], ['1', '4', '0.50'], ['0', '3', '0.00'],
  ['0.0001', '1', '0.01'], ['0.00000001', '1', '0.01'], ['15241578750190521', '1', '123456789.00'],
  ['15241578750190522', '1', '123456789.01'],
];
for (const [a, b, root] of ROOTS) {
  test(`the root of ${a} over ${b}, rounded up, is ${root}`, () => {
    assert.equal(text(rootUp(decimal(a), decimal(b), 2)), root);
  });
}
