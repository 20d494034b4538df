// @ts-check
import assert from 'node:assert/strict';
import test from 'node:test';
import { step } from '../../../static/board.js';

const SIZE = { rows: 2, columns: 5 };

test('arrows lead from cell to cell and stop where the board ends', () => {
  const at = { row: 0, column: 0 };
  assert.deepEqual(step('ArrowRight', at, SIZE), { row: 0, column: 1 });
  assert.deepEqual(step('ArrowDown', at, SIZE), { row: 1, column: 0 });
  assert.deepEqual(step('ArrowLeft', at, SIZE), at);
  assert.deepEqual(step('ArrowUp', at, SIZE), at);
  const end = { row: 1, column: 4 };
  assert.deepEqual(step('ArrowRight', end, SIZE), end);
  assert.deepEqual(step('ArrowDown', end, SIZE), end);
});

test('other keys lead nowhere', () => {
  assert.deepEqual(step('Enter', { row: 1, column: 2 }, SIZE), { row: 1, column: 2 });
});
