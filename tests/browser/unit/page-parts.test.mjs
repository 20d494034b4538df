// What scripts take from an answered page, with documents made of the few things it touches.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { takeParts } from '../../../static/page-parts.js';

/** A document with marked parts; each part holds its text alone. */
function page(parts) {
  const made = Object.fromEntries(Object.entries(parts).map(([name, text]) => [name, {
    childNodes: [text],
    isEqualNode(other) { return other.childNodes.join() === this.childNodes.join(); },
    replaceChildren(...nodes) { this.childNodes = nodes; },
  }]));
  return {
    made,
    importNode: (node) => `${node}, imported`,
    querySelector: (selector) => made[/data-part="(.+)"/.exec(selector)[1]] ?? null,
  };
}

test('each marked part takes the place of the old one', () => {
  const now = page({ faults: '', results: 'old', counts: '5 stop' });
  takeParts(page({ faults: 'a slip', results: 'new', counts: '1 stop' }), now, ['faults', 'results', 'counts']);
  assert.deepEqual(now.made.results.childNodes, ['new, imported']);
  assert.deepEqual(now.made.counts.childNodes, ['1 stop, imported']);
  assert.deepEqual(now.made.faults.childNodes, ['a slip, imported']);
});

test('a part that the answer has not got stays as it is', () => {
  const now = page({ faults: '', results: 'old', counts: '5 stop' });
  takeParts(page({ counts: '1 stop' }), now, ['faults', 'results', 'counts']);
  assert.deepEqual(now.made.results.childNodes, ['old']);
});

test('a part that says the same stays as it is, so that it is not read aloud again', () => {
  const now = page({ faults: '', results: 'old', counts: '5 stop' });
  takeParts(page({ faults: '', results: 'new', counts: '5 stop' }), now, ['faults', 'results', 'counts']);
  assert.deepEqual(now.made.counts.childNodes, ['5 stop']);
  assert.deepEqual(now.made.results.childNodes, ['new, imported']);
});
