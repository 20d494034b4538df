// The parts of the page that need no browser: drafts, order, slipped decimal points, drawing.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { keepDraft, readDraft } from '../../../static/draft.js';
import { percentOn } from '../../../static/gauge.js';
import { placesAfterTap } from '../../../static/order.js';
import { isImplausible } from '../../../static/plausible.js';
import { isApart, pathOf, placeOn } from '../../../static/signature.js';
import { digestOf } from '../../../static/verify.js';

/** A storage as the browser has it, without the browser. */
function store() {
  const kept = new Map();
  return {
    getItem: (key) => kept.get(key) ?? null,
    setItem: (key, value) => { kept.set(key, value); },
    removeItem: (key) => { kept.delete(key); },
    get length() { return kept.size; },
  };
}

test('a draft is kept for its place and step until it is empty', () => {
  const storage = store();
  keepDraft(storage, 'ines/jobs/1/sheet', '18', { value: '10.4' });
  assert.equal(readDraft(storage, 'ines/jobs/1/sheet', '18').value, '10.4');
  assert.equal(readDraft(storage, 'ines/jobs/1/sheet', '19'), null);
  assert.equal(readDraft(storage, 'owen/jobs/1/sheet', '18'), null);
  keepDraft(storage, 'ines/jobs/1/sheet', '18', { value: '' });
  assert.equal(storage.length, 0);
});

test('a broken draft reads as none', () => {
  const storage = store();
  storage.setItem('draft:/a#1', '{');
  assert.equal(readDraft(storage, '/a', '1'), null);
});

test('rows tapped get the next place', () => {
  assert.deepEqual(placesAfterTap([0, 0, 0], 2), [0, 0, 1]);
  assert.deepEqual(placesAfterTap([0, 0, 1], 0), [2, 0, 1]);
});

test('a row tapped again goes back with all later ones', () => {
  assert.deepEqual(placesAfterTap([2, 3, 1], 0), [0, 0, 1]);
});

const SLIPPED = [
  ['104', '9.0', '11.0'], ['90', '9.0', '11.0'], ['1.04', '9.0', '11.0'], ['58', '', '6.2'],
  ['0.19', '1', ''], ['5', '-0.5', '0.5'], ['-12.6', '-0.5', '0.5'], ['126.2', '12.40', '13.00'],
];
for (const [value, lower, upper] of SLIPPED) {
  test(`${value} is asked about between ${lower || 'nothing'} and ${upper || 'nothing'}`, () => {
    assert.equal(isImplausible(value, lower, upper), true);
  });
}

const PLAIN = [
  ['10.4', '9.0', '11.0'], ['12.5', '9.0', '11.0'], ['89.9', '9.0', '11.0'], ['7.4', '', '6.2'],
  ['0', '-0.5', '0.5'], ['0.00', '-0.5', '0.5'], ['0.5', '-0.5', '0.5'], ['0', '', '6.2'], ['0.9', '1', ''], ['500', '1', ''], ['-10', '9.0', '11.0'],
];
for (const [value, lower, upper] of PLAIN) {
  test(`${value} is not asked about between ${lower || 'nothing'} and ${upper || 'nothing'}`, () => {
    assert.equal(isImplausible(value, lower, upper), false);
  });
}

test('the needle stays on the scale', () => {
  assert.equal(percentOn(10, 8, 12), 50);
  assert.equal(percentOn(99, 8, 12), 100);
  assert.equal(percentOn(1, 8, 12), 0);
});

test('a signature becomes one path that the server reads; a dot is left out', () => {
  const { bodies } = JSON.parse(readFileSync(new URL('../../data/forms.json', import.meta.url), 'utf8'));
  const signed = bodies.find(({ body }) => body.payload.signature).body.payload.signature.strokes;
  assert.equal(pathOf([[[10, 20], [13, 24], [12, 30]], [[5, 5]], [[600, 0], [0, 200]]]), signed);
  assert.deepEqual([-0.2, 0, 0.5, 1, 1.2].map((share) => placeOn(share, 600)), [0, 0, 300, 600, 600]);
  assert.equal(isApart([0, 0], [2, 2]), false);
  assert.equal(isApart([0, 0], [3, 0]), true);
});

test('the digest of a file is the published one', async () => {
  // FIPS 180-4 example: SHA-256 of "abc".
  assert.equal(await digestOf(new TextEncoder().encode('abc')),
    'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
});
