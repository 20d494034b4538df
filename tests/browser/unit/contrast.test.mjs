// @ts-check
/**
 * Contrast of every pair of colours that the pages put on each other, in every mode, from the values in the style
 * sheets: a browser's check gives up where bars overlap or a ground is a gradient. Formula and limits: WCAG 2.2, 1.4.3
 * and 1.4.11.
 */

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

/** @param {string} name */
const style = (name) => readFileSync(new URL(`../../../static/css/${name}`, import.meta.url), 'utf8').replace(/\/\*[\s\S]*?\*\//g, '');
const [BASE, MORE] = [style('base.css'), style('contrast.css')];

/** The custom properties in the first rule behind `opening`. @param {string} sheet @param {string} opening */
function colours(sheet, opening) {
  const at = sheet.indexOf(opening);
  assert.notEqual(at, -1, `the style sheet has no ${opening}`);
  const from = at + opening.length;
  const rule = sheet.slice(from, sheet.indexOf('}', from));
  return Object.fromEntries(Array.from(rule.matchAll(/--color-([\w-]+):\s*([^;]+);/g), ([, name, value]) => [name, value.trim()]));
}

const light = colours(BASE, '@layer base {\n  :root {');
const dark = { ...light, ...colours(BASE, '@media (prefers-color-scheme: dark) {\n    :root {') };
const more = colours(MORE, '@media (prefers-contrast: more) {\n    :root {');
const moreDark = colours(MORE, '@media (prefers-contrast: more) and (prefers-color-scheme: dark) {\n    :root {');
const glare = colours(MORE, ':root[data-glare] {');

/** @type {Record<string, Record<string, string>>} */
const MODES = {
  light,
  dark,
  'more contrast': { ...light, ...more },
  'more contrast, dark': { ...dark, ...more, ...moreDark },
  glare: { ...light, ...glare },
  'glare on a dark phone': { ...dark, ...glare },
  'glare and more contrast on a dark phone': { ...dark, ...more, ...moreDark, ...glare },
};

const GROUNDS = ['paper', 'sheet', 'well'];
const VERDICTS = ['pass', 'fail', 'unsure'];
/** Text that is read: what on which grounds. @type {[string, string[]][]} */
const TEXT = [
  ['ink', [...GROUNDS, ...VERDICTS.map((verdict) => `${verdict}-tint`)]],
  ['ink-soft', GROUNDS],
  ...VERDICTS.map((verdict) => /** @type {[string, string[]]} */ ([verdict, [...GROUNDS, `${verdict}-tint`]])),
  ['on-slate', ['slate', 'slate-raised']],
  ['on-slate-soft', ['slate', 'slate-raised']],
  ['fail-on-slate', ['slate']],
  ['unsure-on-slate', ['slate']],
  ['on-accent', ['accent']],
  ['sheet', ['ink']],
];
/** Borders of fields and buttons, marks of the tape, rings of the focus. @type {[string, string[]][]} */
const SHAPES = [
  ['edge', GROUNDS],
  ['slate-edge', ['slate']],
  ['accent', ['slate', 'slate-raised']],
  ['on-slate-faint', ['slate']],
];
const TEXT_MIN = 4.5;
const SHAPE_MIN = 3;

/** @param {string} hex */
function luminance(hex) {
  assert.match(hex, /^#([0-9a-f]{3}){1,2}$/);
  const digits = hex.length === 4 ? [...hex.slice(1)].map((digit) => digit + digit) : hex.slice(1).match(/../g) ?? [];
  const [red, green, blue] = digits.map((pair) => Number.parseInt(pair, 16) / 255)
    .map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4));
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

/** @param {string} one @param {string} other */
function contrast(one, other) {
  const [darker, lighter] = [luminance(one), luminance(other)].toSorted((first, second) => first - second);
  return (lighter + 0.05) / (darker + 0.05);
}

/** Pairs below the limit; a tint that is transparent lies on the sheet. @param {[string, string[]][]} pairs @param {number} min */
function tooWeak(pairs, min) {
  return Object.entries(MODES).flatMap(([mode, values]) => pairs.flatMap(([front, grounds]) => grounds.flatMap((ground) => {
    const behind = values[ground] === 'transparent' ? values.sheet : values[ground];
    const ratio = contrast(values[front], behind);
    return ratio < min ? [`${mode}: ${front} ${values[front]} on ${ground} ${behind} is ${ratio.toFixed(2)} to 1`] : [];
  })));
}

test('contrast is worked out as WCAG does', () => {
  assert.equal(contrast('#000', '#ffffff'), 21);
  assert.equal(contrast('#777777', '#fff').toFixed(2), '4.48');
  assert.equal(contrast('#767676', '#fff').toFixed(2), '4.54');
});

test('a pair just below the limit is found', () => {
  assert.equal(tooWeak([['ink', ['ink']]], TEXT_MIN).length, Object.keys(MODES).length);
});

test('text stands at least 4.5 to 1 on each of its grounds, in every mode', () => {
  assert.deepEqual(tooWeak(TEXT, TEXT_MIN), []);
});

test('borders, marks and rings stand at least 3 to 1 on each of their grounds, in every mode', () => {
  assert.deepEqual(tooWeak(SHAPES, SHAPE_MIN), []);
});
