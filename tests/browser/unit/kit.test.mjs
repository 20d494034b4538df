// @ts-check
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { rangeOfLine } from '../../../static/kit.js';

test('a line is picked from its first letter to its last', () => {
  const text = 'one\n\nthree';
  assert.deepEqual(rangeOfLine(text, 1), [0, 3]);
  assert.deepEqual(rangeOfLine(text, 2), [4, 4]);
  assert.deepEqual(rangeOfLine(text, 3), [5, 10]);
});

test('a line before the first or behind the last is the nearest one', () => {
  assert.deepEqual(rangeOfLine('one\ntwo', 0), [0, 3]);
  assert.deepEqual(rangeOfLine('one\ntwo', 9), [4, 7]);
  assert.deepEqual(rangeOfLine('', 1), [0, 0]);
});
