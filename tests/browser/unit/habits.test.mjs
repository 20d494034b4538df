// What the phone does beside the page: screen, vibration, the key for the sign.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { keeper } from '../../../static/awake.js';
import { patternFor } from '../../../static/feel.js';
import { mayBeNegative, turned } from '../../../static/sign.js';

/** A screen whose time the tests move. */
function screen() {
  const seen = { asked: 0, released: 0, refuses: false, timers: new Map(), takeBack: () => {} };
  const ask = async () => {
    seen.asked += 1;
    if (seen.refuses) throw new Error('the battery is low');
    let told = () => {};
    seen.takeBack = () => told();
    return {
      addEventListener: (_, listener) => { told = listener; },
      release: async () => { seen.released += 1; },
    };
  };
  const after = (done, ms) => {
    const timer = Symbol(ms);
    seen.timers.set(timer, { done, ms });
    return timer;
  };
  const forget = (timer) => seen.timers.delete(timer);
  const pass = () => {
    const waiting = [...seen.timers.values()];
    seen.timers.clear();
    waiting.forEach(({ done }) => done());
  };
  return { seen, pass, screen: keeper({ ask, after, forget }) };
}

test('the screen is asked for once, and given back two minutes after the last touch', async () => {
  const { seen, pass, screen: held } = screen();
  await held.touched();
  await held.touched();
  assert.equal(seen.asked, 1);
  assert.deepEqual([...seen.timers.values()].map(({ ms }) => ms), [120_000], 'only the last touch counts');
  pass();
  assert.equal(seen.released, 1);
});

test('while a field has the focus, the screen stays on', async () => {
  const { seen, pass, screen: held } = screen();
  await held.focused(true);
  pass();
  assert.equal(seen.released, 0);
  await held.focused(false);
  assert.equal(seen.released, 0, 'two minutes more');
  pass();
  assert.deepEqual([seen.asked, seen.released], [1, 1]);
});

test('saved or closed, the screen is given back at once', async () => {
  const { seen, screen: held } = screen();
  await held.focused(true);
  held.done();
  assert.equal(seen.released, 1);
  assert.equal(seen.timers.size, 0);
  await held.seen();
  assert.equal(seen.asked, 1, 'and not asked for when the page is seen again');
});

test('what the system took back is asked for when the page is seen again', async () => {
  const { seen, screen: held } = screen();
  await held.touched();
  seen.takeBack();
  await held.seen();
  await held.seen();
  assert.equal(seen.asked, 2);
});

test('saved before the answer came, the screen is given back', async () => {
  const { seen, screen: held } = screen();
  const asking = held.touched();
  held.done();
  await asking;
  assert.deepEqual([seen.asked, seen.released], [1, 1]);
});

test('a refusal is no fault, and the next touch asks again', async () => {
  const { seen, screen: held } = screen();
  seen.refuses = true;
  await held.touched();
  seen.refuses = false;
  await held.touched();
  assert.equal(seen.asked, 2);
  held.done();
  assert.equal(seen.released, 1);
});

test('a verdict is felt when it changes', () => {
  assert.deepEqual(patternFor('pass', 'todo'), [40]);
  assert.deepEqual(patternFor('fail', 'pass'), [240, 80, 40]);
  assert.equal(patternFor('inconclusive', 'fail')?.length, 5, 'three times on, two times off');
  assert.deepEqual(patternFor('pass', undefined), [40]);
  for (const kind of ['pass', 'fail', 'inconclusive']) assert.equal(patternFor(kind, kind), null);
  assert.equal(patternFor('uncounted', 'pass'), null);
  assert.equal(patternFor(undefined, 'pass'), null);
});

const NEGATIVE = [
  { kind: 'solar_open' },
  { kind: 'reading', unit: '°C', lower: '', upper: '40' },
  { kind: 'reading', unit: 'V', lower: '-0.5', upper: '0.5' },
  { kind: 'reading', unit: 'V', lower: '', upper: '' },
];
const POSITIVE = [
  { kind: 'reading', unit: 'V', lower: '12.40', upper: '13.00' },
  { kind: 'reading', unit: 'K', lower: '', upper: '30' },
  { kind: 'reading', unit: 'MΩ', lower: '1', upper: '' },
  { kind: 'torque', unit: 'N·m', lower: '', upper: '' },
  { kind: 'ratio', unit: '', lower: '', upper: '' },
  { kind: 'confirm', lower: '', upper: '' },
];
for (const marks of NEGATIVE) {
  test(`a figure may be below zero: ${JSON.stringify(marks)}`, () => assert.equal(mayBeNegative(marks), true));
}
for (const marks of POSITIVE) {
  test(`no key for the sign: ${JSON.stringify(marks)}`, () => assert.equal(mayBeNegative(marks), false));
}

const SIGNS = [
  ['', '-'], ['-', ''], ['5', '-5'], ['-5', '5'], ['\u22125,2', '5,2'], ['+5', '-5'], ['- 5', '5'], [' 5 ', '-5 '],
];
for (const [typed, other] of SIGNS) {
  test(`"${typed}" with its sign changed is "${other}"`, () => assert.equal(turned(typed), other));
}
