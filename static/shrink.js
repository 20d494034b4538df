// @ts-check
/**
 * A picked photo made ready to be kept and sent: a JPEG of at most 1600 px a side, upright, without metadata,
 * named by its digest. The server keeps it byte for byte.
 */

import { cleanFault, cleaned } from './clean.js';
import { digestOf } from './verify.js';

const PICKED_BYTES_MAX = 40 * 1024 * 1024;
const SIDE_PX_MAX = 1600;
const TYPE = 'image/jpeg';
const QUALITY = 0.82;

const TOO_LARGE = 'The photo is larger than 40 MB. Take it at a lower resolution.';
const UNREADABLE = 'This file is no picture the phone can read. Take the photo again.';
const UNWRITABLE = 'This phone cannot make the photo smaller. Close other apps and take it again.';

/**
 * @typedef {{ buffer: ArrayBuffer, sha256: string, width: number, height: number }} Shrunk
 * @typedef {{ image: CanvasImageSource, width: number, height: number, free: () => void }} Decoded
 * @typedef {{ width: number, height: number }} Size
 */

/** @param {Size} size @returns {Size} the size to be kept: never larger than it came */
export function keptSize({ width, height }) {
  const scale = Math.min(1, SIDE_PX_MAX / Math.max(width, height));
  return { width: Math.max(1, Math.round(width * scale)), height: Math.max(1, Math.round(height * scale)) };
}

/** Both ways turn the picture upright. @param {Blob} file @returns {Promise<Decoded>} */
async function decode(file) {
  try {
    const bitmap = await createImageBitmap(file, { imageOrientation: 'from-image' });
    return { image: bitmap, width: bitmap.width, height: bitmap.height, free: () => bitmap.close() };
  } catch {
    // Older phones cannot do that with every kind of file that they can show.
    return decodeShown(file);
  }
}

/** @param {Blob} file @returns {Promise<Decoded>} */
async function decodeShown(file) {
  const address = URL.createObjectURL(file);
  const image = new Image();
  const free = () => {
    image.removeAttribute('src');
    URL.revokeObjectURL(address);
  };
  try {
    image.src = address;
    await image.decode();
    return { image, width: image.naturalWidth, height: image.naturalHeight, free };
  } catch (error) {
    free();
    throw error;
  }
}

/** @param {Size} size */
function canvasOf({ width, height }) {
  if (typeof OffscreenCanvas === 'function') return new OffscreenCanvas(width, height);
  return Object.assign(document.createElement('canvas'), { width, height });
}

/** @param {Decoded} decoded @param {Size} size @returns {Promise<Blob | null>} */
async function drawn({ image }, { width, height }) {
  const canvas = canvasOf({ width, height });
  const ink = /** @type {CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D | null} */ (
    canvas.getContext('2d', { alpha: false }));
  if (!ink) return null;
  Object.assign(ink, { imageSmoothingQuality: 'high', fillStyle: '#fff' });
  // What is clear in a picture is white on paper.
  ink.fillRect(0, 0, width, height);
  ink.drawImage(image, 0, 0, width, height);
  const blob = 'convertToBlob' in canvas
    ? await canvas.convertToBlob({ type: TYPE, quality: QUALITY })
    : await new Promise((/** @type {BlobCallback} */ done) => { canvas.toBlob(done, TYPE, QUALITY); });
  // Frees its memory now; some phones have little for canvases.
  canvas.width = 0;
  return blob;
}

/** @param {Blob} file @returns {Promise<Shrunk | { fault: string }>} */
export async function shrink(file) {
  if (file.size > PICKED_BYTES_MAX) return { fault: TOO_LARGE };
  const decoded = await decode(file).catch(() => null);
  if (!decoded || decoded.width === 0 || decoded.height === 0) return { fault: UNREADABLE };
  const size = keptSize(decoded);
  const blob = await drawn(decoded, size).catch(() => null).finally(decoded.free);
  // An engine that cannot write a JPEG answers with a PNG.
  if (!blob || blob.type !== TYPE) return { fault: UNWRITABLE };
  const clean = cleaned(new Uint8Array(await blob.arrayBuffer()));
  if (cleanFault(clean)) return { fault: UNWRITABLE };
  const buffer = clean.slice().buffer;
  return { buffer, sha256: await digestOf(buffer), ...size };
}
