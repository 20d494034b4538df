// What the fault run rests on: its comparison finds each way in which a record may not be what was made.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { chanceOf } from '../chance.mjs';
import { compare } from '../compare.mjs';

const made = (id, more = {}) => ({ id, job: 'j', person: 'p', body: `body of ${id}`, photos: [], isKept: true, ...more });
const stored = ({ id, job, person, body }) => ({ id, job, person, body });
const NOTHING = { lost: [], doubled: [], changed: [], foreign: [], lostPhotos: [] };
const all = [made('a', { photos: ['f'] }), made('b'), made('c')];
const entries = all.map(stored);
const photos = [{ sha256: 'f', file: 'f' }];
const old = { ...stored(made('old')) };

test('a record that holds all of it once is whole, in any order and with what was there before', () => {
  assert.deepEqual(compare(all, { entries: [old, ...entries.toReversed()], photos }, new Set(['old'])), NOTHING);
});

test('an acknowledged entry that is not there is lost', () => {
  assert.deepEqual(compare(all, { entries: entries.slice(1), photos }, new Set()).lost, ['a']);
});

test('an entry that never came onto the phone may be missing, and may be there', () => {
  const half = made('d', { isKept: false });
  assert.deepEqual(compare([...all, half], { entries, photos }, new Set()), NOTHING);
  assert.deepEqual(compare([...all, half], { entries: [...entries, stored(half)], photos }, new Set()), NOTHING);
});

test('an entry that is there twice is doubled', () => {
  assert.deepEqual(compare(all, { entries: [...entries, entries[1]], photos }, new Set()).doubled, ['b']);
});

test('other bytes, another job and another person are found', () => {
  for (const other of [{ body: 'body of c ' }, { job: 'k' }, { person: 'q' }]) {
    const record = { entries: [...entries.slice(0, 2), { ...entries[2], ...other }], photos };
    assert.deepEqual(compare(all, record, new Set()).changed, ['c']);
  }
});

test('an entry that nobody made is foreign', () => {
  assert.deepEqual(compare(all, { entries: [...entries, old], photos }, new Set()).foreign, ['old']);
});

test('a photo is lost without its row, without its file, and with other bytes in it', () => {
  for (const some of [[], [{ sha256: 'f', file: null }], [{ sha256: 'f', file: 'e' }]]) {
    assert.deepEqual(compare(all, { entries, photos: some }, new Set()).lostPhotos, ['f']);
  }
});

test('the same seed draws the same, another one something else', () => {
  const draws = (seed) => Array.from({ length: 50 }, chanceOf(seed).next);
  assert.deepEqual(draws(7), draws(7));
  assert.notDeepEqual(draws(7), draws(8));
  assert.ok(draws(7).every((draw) => draw >= 0 && draw < 1));
});

test('weights are kept to, and both ends of a range come', () => {
  const chance = chanceOf(3);
  const drawn = Array.from({ length: 4000 }, () => chance.weighed({ often: 3, seldom: 1, never: 0 }));
  const often = drawn.filter((word) => word === 'often').length;
  assert.ok(often > 2800 && often < 3200, String(often));
  assert.ok(!drawn.includes('never'));
  assert.deepEqual([...new Set(Array.from({ length: 100 }, () => chance.between(2, 4)))].sort(), [2, 3, 4]);
});
