// Ids of the phone: sorted, once each, whatever the clock does.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { newId } from '../../../static/ids.js';

const NOON = Date.parse('2026-11-25T12:00:00Z');
const UUID_V7 = /^[\da-f]{8}-[\da-f]{4}-7[\da-f]{3}-[89ab][\da-f]{3}-[\da-f]{12}$/;

/** @param {string} id */
const millisecondOf = (id) => Number(`0x${id.slice(0, 8)}${id.slice(9, 13)}`);

/** @param {string[]} ids */
function areSortedAndUnique(ids) {
  assert.deepEqual([...ids].sort(), ids);
  assert.equal(new Set(ids).size, ids.length);
}

test('an id has its millisecond, version 7 and the variant of RFC 9562', () => {
  for (let at = 0; at < 200; at += 1) {
    const id = newId(NOON + at);
    assert.match(id, UUID_V7);
    assert.equal(millisecondOf(id), NOON + at);
  }
});

test('five thousand ids of one millisecond are sorted and unique', () => {
  const now = NOON + 1_000;
  const ids = Array.from({ length: 5_000 }, () => newId(now));
  areSortedAndUnique(ids);
  ids.forEach((id) => assert.match(id, UUID_V7));
  assert.ok(millisecondOf(ids[4_999]) - now <= 1, 'the time is kept');
});

test('a clock that steps back does not take the ids with it', () => {
  const now = NOON + 10_000;
  const clock = Array.from({ length: 5_000 }, (_, at) => now + at - (at > 2_000 ? 3_600_000 : 0));
  const ids = clock.map((time) => newId(time));
  areSortedAndUnique(ids);
  const again = newId(now + 5_000);
  assert.ok(again > ids[4_999]);
  assert.equal(millisecondOf(again), now + 5_000, 'and the clock counts again once it is ahead');
});

test('what two phones make at one moment differs', async () => {
  const other = await import('../../../static/ids.js?other');
  const now = NOON + 1e11;
  const [mine, theirs] = [newId(now), other.newId(now)];
  assert.equal(mine.slice(0, 13), theirs.slice(0, 13));
  assert.notEqual(mine, theirs);
});
