// What forms come to on the phone against the table that the server is tested with, too.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { bodyText, deviceTime } from '../../../static/body.js';
import { readForm } from '../../../static/payload.js';

const VECTORS = new URL('../../data/forms.json', import.meta.url);
const { forms: FORMS, bodies: BODIES } = JSON.parse(readFileSync(VECTORS, 'utf8'));

/** A step as its form in the page has it. */
function marksOf({ kind, unit, limits, ...step }) {
  const marks = { kind: kind === 'path_drop' ? 'ratio' : kind };
  marks.unit = kind === 'torque' ? 'N·m' : unit ?? '';
  marks.lower = limits?.lower ?? '';
  marks.upper = limits?.upper ?? '';
  marks.limitMilliohm = step.resistance_max_milliohm ?? '';
  if (kind !== 'solar_open') return marks;
  return {
    ...marks,
    stringVocV: step.string_voc_v,
    inSeries: String(step.in_series),
    percentPerK: step.percent_per_k,
    tolerancePercent: step.tolerance_percent,
    upperV: step.upper_v,
  };
}

for (const { name, step, fields, photos, expect } of FORMS) {
  test(`form: ${name}`, () => {
    const form = { marks: marksOf(step), fields, labels: step.choices ?? [], photos };
    assert.deepEqual(readForm(form), expect);
  });
}

for (const { name, body, text } of BODIES) {
  test(`body: ${name}`, () => {
    assert.equal(bodyText(body), text);
    assert.equal(JSON.parse(text).kind, body.payload.kind);
  });
}

test('what a form comes to has its keys in the order of the body', () => {
  for (const { expect: { result } } of FORMS.filter(({ expect }) => expect.result)) {
    const like = BODIES.find(({ body }) => body.payload.kind === result.kind);
    assert.ok(like, `no body of kind ${result.kind}`);
    assert.deepEqual(Object.keys(result), Object.keys(like.body.payload));
  }
});

test('half a character becomes the sign for one that is lost', () => {
  const form = { marks: { kind: 'note' }, labels: [], photos: [], fields: { value: 'a\ud83d \u0085' } };
  assert.equal(readForm(form).result.text, 'a\ufffd');
});

const at = (text, west) => ({ getTime: () => Date.parse(text), getTimezoneOffset: () => west });

test('the time of the device has its offset', () => {
  assert.equal(deviceTime(at('2026-11-25T13:03:07.120Z', -60)), '2026-11-25T14:03:07.120+01:00');
  assert.equal(deviceTime(at('2026-03-01T03:29:59.999Z', 210)), '2026-02-28T23:59:59.999-03:30');
  assert.equal(deviceTime(at('2026-06-01T00:00:00.000Z', 0)), '2026-06-01T00:00:00.000+00:00');
  assert.equal(deviceTime(at('2026-12-31T18:15:00.000Z', -345)), '2027-01-01T00:00:00.000+05:45');
});

test('the time of this device is this moment', () => {
  const before = Date.now();
  const told = Date.parse(deviceTime());
  assert.ok(before <= told && told <= Date.now());
});
