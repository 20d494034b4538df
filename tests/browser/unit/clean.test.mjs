// The walk along a JPEG: what is let through, what is taken out. The pictures are skeletons of markers.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { cleanFault, cleaned } from '../../../static/clean.js';
import { keptSize } from '../../../static/shrink.js';

/** @param {number} marker @param {number[]} body */
const block = (marker, body) => [0xff, marker, (body.length + 2) >> 8, (body.length + 2) & 0xff, ...body];
/** @param {string} text */
const latin = (text) => [...text].map((letter) => letter.charCodeAt(0));
/** @param {...number[]} parts */
const jpeg = (...parts) => Uint8Array.from(parts.flat());

const START = [0xff, 0xd8];
const END = [0xff, 0xd9];
const JFIF = block(0xe0, [...latin('JFIF\0'), 1, 1, 0, 0, 1, 0, 1, 0, 0]);
const ICC = block(0xe2, [...latin('ICC_PROFILE\0'), 1, 1, 9, 9, 9]);
const ADOBE = block(0xee, [...latin('Adobe'), 0, 100, 0, 0, 0, 0, 1]);
const EXIF = block(0xe1, [...latin('Exif\0\0'), 1, 2, 3]);
const COMMENT = block(0xfe, latin('made by'));
const QUANTISERS = block(0xdb, [0, ...new Array(64).fill(1)]);
const FRAME = block(0xc0, [8, 0, 16, 0, 16, 1, 1, 0x11, 0]);
const CODES = block(0xc4, [0, ...new Array(16).fill(0)]);
const RESTARTS = block(0xdd, [0, 4]);
const SCAN = [...block(0xda, [1, 1, 0, 0, 63, 0]), 1, 2, 0xff, 0, 3, 0xff, 0xd0, 4, 0xff, 0xd7, 5];
const PICTURE = [...QUANTISERS, ...FRAME, ...CODES, ...RESTARTS, ...SCAN];
const PLAIN = jpeg(START, JFIF, PICTURE, END);

const SOUND = {
  'a plain picture': PLAIN,
  'a picture without a header': jpeg(START, PICTURE, END),
  'a picture with a profile and colours': jpeg(START, JFIF, ICC, ADOBE, PICTURE, END),
  'a picture in two passes': jpeg(START, JFIF, PICTURE, CODES, SCAN, END),
};
for (const [name, bytes] of Object.entries(SOUND)) {
  test(`${name} is clean and stays as it is`, () => {
    assert.equal(cleanFault(bytes), null);
    assert.deepEqual(cleaned(bytes), bytes);
  });
}

const STRIPPED = {
  'where it was taken': jpeg(START, JFIF, EXIF, PICTURE, END),
  'a comment': jpeg(START, COMMENT, JFIF, PICTURE, END),
  'a comment between passes': jpeg(START, JFIF, PICTURE, COMMENT, END),
  'a header that is none': jpeg(START, JFIF, block(0xe0, latin('JFXX\0\x10abc')), PICTURE, END),
  'a header behind the frame': jpeg(START, JFIF, PICTURE, JFIF, END),
  'a profile in two pieces': jpeg(START, JFIF, block(0xe2, [...latin('ICC_PROFILE\0'), 1, 2, 9]), PICTURE, END),
  'bytes behind the end': jpeg(START, JFIF, PICTURE, END, [0]),
  'a second picture behind the end': jpeg(START, JFIF, PICTURE, END, [...PLAIN]),
  'fill bytes before a marker': jpeg(START, JFIF, [0xff, 0xff], PICTURE, END),
};
for (const [name, bytes] of Object.entries(STRIPPED)) {
  test(`${name}: not clean, and taken out`, () => {
    assert.match(cleanFault(bytes) ?? '', /\.$/);
    assert.deepEqual(cleaned(bytes), PLAIN);
  });
}

test('a second profile is not clean, and taken out', () => {
  const bytes = jpeg(START, JFIF, ICC, ICC, PICTURE, END);
  assert.match(cleanFault(bytes) ?? '', /profile/);
  assert.deepEqual(cleaned(bytes), jpeg(START, JFIF, ICC, PICTURE, END));
});

const BROKEN = {
  'no bytes': jpeg(),
  'a PNG': jpeg([0x89, ...latin('PNG\r\n')]),
  'a start alone': jpeg(START),
  'a picture without an end': jpeg(START, JFIF, PICTURE),
  'a picture that ends in a marker cut in half': jpeg(START, JFIF, PICTURE, [0xff]),
  'a block longer than the file': jpeg(START, [0xff, 0xdb, 0xff, 0xff, 1]),
  'a block shorter than its own length': jpeg(START, [0xff, 0xdb, 0, 1], PICTURE, END),
  'a block without a length': jpeg(START, [0xff, 0xdb, 0]),
  'bytes between blocks': jpeg(START, JFIF, [7], PICTURE, END),
  'no frame': jpeg(START, JFIF, QUANTISERS, CODES, SCAN, END),
  'two frames': jpeg(START, JFIF, FRAME, PICTURE, END),
  'no scan': jpeg(START, JFIF, QUANTISERS, FRAME, CODES, END),
  'a scan before its frame': jpeg(START, JFIF, SCAN, FRAME, SCAN, END),
  'a lossless frame': jpeg(START, JFIF, block(0xc3, [8, 0, 16, 0, 16, 1, 1, 0x11, 0]), PICTURE, END),
  'a start within': jpeg(START, JFIF, block(0xd8, []), PICTURE, END),
  'more blocks than a picture has': jpeg(START, ...new Array(255).fill(RESTARTS), PICTURE, END),
};
for (const [name, bytes] of Object.entries(BROKEN)) {
  test(`${name}: not clean, and nothing helps`, () => {
    assert.match(cleanFault(bytes) ?? '', /\.$/);
    assert.match(cleanFault(cleaned(bytes)) ?? '', /\.$/);
  });
}

test('as many blocks as a picture may have are clean', () => {
  // With the five of the picture and the end.
  const blocks = jpeg(START, ...new Array(250).fill(RESTARTS), PICTURE, END);
  assert.equal(cleanFault(blocks), null);
  assert.notEqual(cleanFault(jpeg(START, ...new Array(251).fill(RESTARTS), PICTURE, END)), null);
});

const SIZES = [
  [[4000, 3000], [1600, 1200]], [[3000, 4000], [1200, 1600]], [[1600, 1600], [1600, 1600]],
  [[1601, 10], [1600, 10]], [[8000, 1], [1600, 1]], [[240, 180], [240, 180]],
];
for (const [[width, height], [keptWidth, keptHeight]] of SIZES) {
  test(`${width} × ${height} is kept as ${keptWidth} × ${keptHeight}`, () => {
    assert.deepEqual(keptSize({ width, height }), { width: keptWidth, height: keptHeight });
  });
}
