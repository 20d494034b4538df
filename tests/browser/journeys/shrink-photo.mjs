// @ts-check
/**
 * Photos as a phone picks them, made ready in a real browser: turned upright, made smaller, without where and by
 * whom they were taken, and named by what they hold. The pictures are made here.
 */

import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';

import { PHONE } from '../demo.mjs';
import { scriptOf } from './pocket.mjs';
import { cleanFault } from '../../../static/clean.js';

export const title = 'A photo is turned upright, made smaller and cleaned';
export const ways = [{ name: 'phone', size: PHONE, javascript: true }];

/** Corners of the picture as it lies in the file, row by row. */
const CORNERS = ['#d01010', '#10b010', '#1010d0', '#e0e010'];
const FAULT = 'This file is no picture the phone can read. Take the photo again.';

/**
 * Exif with orientation 6 (turn a quarter to the right) and a position, as a camera writes it: TIFF 6.0 in
 * little-endian order, one directory with two entries, and the position's with four (Exif 2.3, from memory).
 */
function exif() {
  /** @param {number} tag @param {number} type @param {number} count @param {number} value */
  const entry = (tag, type, count, value) => {
    const bytes = Buffer.alloc(12);
    bytes.writeUInt16LE(tag, 0);
    bytes.writeUInt16LE(type, 2);
    bytes.writeUInt32LE(count, 4);
    bytes.writeUInt32LE(value, 8);
    return bytes;
  };
  /** @param {Buffer[]} entries */
  const directory = (...entries) => Buffer.concat([Buffer.from([entries.length, 0]), ...entries, Buffer.alloc(4)]);
  const [first, second, figures] = [8, 38, 92];
  const main = directory(entry(0x0112, 3, 1, 6), entry(0x8825, 4, 1, second));
  const place = directory(entry(1, 2, 2, 0x4e), entry(2, 5, 3, figures), entry(3, 2, 2, 0x45), entry(4, 5, 3, figures));
  const degrees = Buffer.alloc(24);
  [48, 1, 8, 1, 30, 1].forEach((figure, at) => degrees.writeUInt32LE(figure, at * 4));
  const tiff = Buffer.concat([Buffer.from('II*\0', 'latin1'), Buffer.from([first, 0, 0, 0]), main, place, degrees]);
  assert.deepEqual([8 + main.length, tiff.length - 24], [second, figures], 'the offsets are those of the parts');
  const body = Buffer.concat([Buffer.from('Exif\0\0', 'latin1'), tiff]);
  const head = Buffer.from([0xff, 0xe1, 0, 0]);
  head.writeUInt16BE(body.length + 2, 2);
  return Buffer.concat([head, body]);
}

/**
 * @typedef {{ width: number, height: number }} Size
 * @typedef {Size & { script: string, type: string, metadata: number[], corners: string[] }} Wanted
 * @typedef {Size & { bytes: number[], picked: number[], sha256: string, corners: number[][] }} Got
 */

/**
 * Runs in the page: draws a picture, puts the metadata in, shrinks it, and looks at what came.
 * @param {Wanted} wanted
 * @returns {Promise<Got>}
 */
async function inPage({ script, type, width, height, metadata, corners }) {
  const { shrink } = (await import(script)).$shrink;
  const canvas = new OffscreenCanvas(width, height);
  const ink = canvas.getContext('2d');
  if (!ink) throw new Error('no canvas');
  corners.forEach((colour, at) => {
    ink.fillStyle = colour;
    ink.fillRect((at % 2) * (width / 2), Math.floor(at / 2) * (height / 2), width / 2, height / 2);
  });
  const drawn = await canvas.convertToBlob({ type, quality: 0.9 });
  const plain = new Uint8Array(await drawn.arrayBuffer());
  const picked = metadata.length > 0 ? [...plain.slice(0, 2), ...metadata, ...plain.slice(2)] : [...plain];
  const got = await shrink(new File([Uint8Array.from(picked)], 'photo', { type }));
  if (got.fault) throw new Error(got.fault);
  const bitmap = await createImageBitmap(new Blob([got.buffer], { type: 'image/jpeg' }));
  const look = new OffscreenCanvas(bitmap.width, bitmap.height).getContext('2d');
  look?.drawImage(bitmap, 0, 0);
  const at = [[1, 1], [3, 1], [1, 3], [3, 3]].map(([x, y]) =>
    [...(look?.getImageData((bitmap.width * x) / 4, (bitmap.height * y) / 4, 1, 1).data ?? [])].slice(0, 3));
  const bytes = [...new Uint8Array(got.buffer)];
  return { bytes, picked, sha256: got.sha256, width: bitmap.width, height: bitmap.height, corners: at };
}

/** @param {number[]} seen @param {string} meant */
const isNear = (seen, meant) =>
  seen.every((part, at) => Math.abs(part - Number.parseInt(meant.slice(1 + at * 2, 3 + at * 2), 16)) < 12);

/** @param {import('../run.mjs').Given} given */
export async function run({ browser, base: address, size }) {
  const context = await browser.newContext({ viewport: size });
  const page = await context.newPage();
  await page.goto(`${address}/sign-in`);
  const script = await scriptOf(page);

  const photo = { script, type: 'image/jpeg', width: 4000, height: 3000, metadata: [...exif()], corners: CORNERS };
  const turned = await page.evaluate(inPage, photo);
  assert.deepEqual([turned.width, turned.height], [1200, 1600]);
  // A quarter to the right: what lay below on the left is above on the left.
  const upright = [2, 0, 3, 1].map((at) => CORNERS[at]);
  assert.ok(turned.corners.every((seen, at) => isNear(seen, upright[at])), JSON.stringify(turned.corners));
  const bytes = Uint8Array.from(turned.bytes);
  assert.match(cleanFault(Uint8Array.from(turned.picked)) ?? '', /marker E1/, 'what was picked says where it was');
  assert.equal(cleanFault(bytes), null);
  assert.ok(!Buffer.from(bytes).includes('Exif'), 'what is kept says nothing of it');
  assert.equal(turned.sha256, createHash('sha256').update(bytes).digest('hex'));

  const small = await page.evaluate(inPage, { ...photo, width: 320, height: 240, metadata: [] });
  assert.deepEqual([small.width, small.height], [320, 240], 'no photo is made larger');
  assert.ok(small.corners.every((seen, at) => isNear(seen, CORNERS[at])));

  const clear = await page.evaluate(inPage, { ...photo, type: 'image/png', metadata: [], corners: ['#00000000'] });
  assert.ok(clear.corners.every((seen) => isNear(seen, '#ffffff')), 'what is clear is white');
  assert.equal(cleanFault(Uint8Array.from(clear.bytes)), null);

  const faults = await page.evaluate(async (from) => {
    const { shrink } = (await import(from)).$shrink;
    const files = [new File(['no picture'], 'a.jpg', { type: 'image/jpeg' }), new File([], 'b.jpg')];
    return Promise.all(files.map(async (file) => (await shrink(file)).fault));
  }, script);
  assert.deepEqual(faults, [FAULT, FAULT]);
  await context.close();
  return `${turned.picked.length} bytes became ${bytes.length}`;
}
