// @ts-check
/**
 * Whether a JPEG is a picture and nothing else, marker by marker, as the server takes it: no metadata, no
 * comment, nothing behind its end. What is harmless to lose is taken out.
 *
 * Source: ITU-T T.81 (1992), annex B; JFIF 1.02; ICC.1:2010, annex B.4 (all from memory).
 */

/** Blocks that one picture may have; a picture in many passes has some dozens. */
const BLOCKS_MAX = 256;

const [START, END, SCAN] = [0xd8, 0xd9, 0xda];
const [JFIF, PROFILE, ADOBE] = [0xe0, 0xe2, 0xee];
const TABLES = [0xdb, 0xc4, 0xdd];
const FRAMES = [0xc0, 0xc1, 0xc2];

/**
 * A marker with what belongs to it; a scan with its coded pixels.
 * @typedef {{ marker: number, from: number, to: number, body: Uint8Array }} Block
 */

/** @param {Uint8Array} bytes @param {number} at  where coded pixels end: at a marker, but for restarts */
function scanEnd(bytes, at) {
  for (let end = bytes.indexOf(0xff, at); end >= 0; end = bytes.indexOf(0xff, end + 1)) {
    const next = bytes[end + 1];
    if (next !== undefined && next !== 0 && (next < 0xd0 || next > 0xd7)) return end;
  }
  return -1;
}

/**
 * Those behind the start, up to the end; nothing where that is no JPEG.
 * @param {Uint8Array} bytes
 * @returns {Block[] | null}
 */
function blocksOf(bytes) {
  if (bytes[0] !== 0xff || bytes[1] !== START) return null;
  /** @type {Block[]} */
  const blocks = [];
  for (let at = 2; blocks.length < BLOCKS_MAX;) {
    if (bytes[at] !== 0xff) return null;
    while (bytes[at + 1] === 0xff) at += 1;
    const marker = bytes[at + 1];
    const length = marker === END ? 0 : bytes[at + 2] * 256 + bytes[at + 3];
    const bodyEnd = at + 2 + length;
    // Not a number behind the last byte; both comparisons are false then.
    if (!(bodyEnd <= bytes.length) || (marker !== END && !(length >= 2))) return null;
    const to = marker === SCAN ? scanEnd(bytes, bodyEnd) : bodyEnd;
    if (to < 0) return null;
    blocks.push({ marker, from: at, to, body: bytes.subarray(at + 4, bodyEnd) });
    if (marker === END) return blocks;
    at = to;
  }
  return null;
}

/** @param {Uint8Array} body @param {string} text  Latin letters and control characters */
const starts = (body, text) => [...text].every((letter, at) => body[at] === letter.charCodeAt(0));

/** Blocks about the picture that say nothing about who took it, and where. @param {Block} block */
function isAboutColour({ marker, body }) {
  // A JFIF header may carry a small picture of its own: then it is longer.
  if (marker === JFIF) return body.length === 14 && starts(body, 'JFIF\0') && body[12] === 0 && body[13] === 0;
  if (marker === PROFILE) return starts(body, 'ICC_PROFILE\0\x01\x01');
  return marker === ADOBE && body.length === 12 && starts(body, 'Adobe');
}

/** @param {Block} block */
const isPicture = ({ marker }) => [END, SCAN, ...TABLES, ...FRAMES].includes(marker);

/** Blocks that only carry words or data for programs, and comments. @param {Block} block */
const isExtra = ({ marker }) => marker === 0xfe || (marker >= 0xe0 && marker <= 0xef);

/**
 * Why the server would not keep these bytes as they are, or nothing.
 * @param {Uint8Array} bytes
 * @returns {string | null}
 */
export function cleanFault(bytes) {
  const blocks = blocksOf(bytes);
  if (!blocks) return 'It is no whole JPEG.';
  const foreign = blocks.find((block) => !isPicture(block) && !isAboutColour(block));
  if (foreign) return `It has a block that no picture needs (marker ${foreign.marker.toString(16).toUpperCase()}).`;
  const ends = blocks.map(({ to }) => to);
  const [frames, scans, profiles] = [FRAMES, [SCAN], [PROFILE]]
    .map((some) => blocks.filter(({ marker }) => some.includes(marker)).map(({ from }) => from));
  if (frames.length !== 1 || scans.length === 0 || frames[0] > scans[0]) return 'It holds not just one picture.';
  if (profiles.length > 1) return 'It holds more than one profile.';
  if (blocks.some((block) => isExtra(block) && block.from > frames[0])) return 'Its blocks are in the wrong order.';
  if (blocks.some(({ from }, at) => from !== (ends[at - 1] ?? 2))) return 'Its blocks have gaps between them.';
  return ends.at(-1) === bytes.length ? null : 'Something hangs behind the picture.';
}

/**
 * The same picture without comments, metadata, gaps, and what hangs behind it; as it is where it is no JPEG.
 * @param {Uint8Array} bytes
 * @returns {Uint8Array}
 */
export function cleaned(bytes) {
  const blocks = blocksOf(bytes);
  if (!blocks) return bytes;
  const frame = blocks.findIndex(({ marker }) => FRAMES.includes(marker));
  const profile = blocks.findIndex(({ marker }) => marker === PROFILE);
  const kept = blocks.filter((block, at) =>
    !isExtra(block) || (isAboutColour(block) && at < frame && (block.marker !== PROFILE || at === profile)));
  const parts = [bytes.subarray(0, 2), ...kept.map(({ from, to }) => bytes.subarray(from, to))];
  const clean = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    clean.set(part, at);
    at += part.length;
  }
  return clean;
}
