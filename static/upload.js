// @ts-check
/** Sends photos in pieces, from where the last try ended, before any entry names them. */

import { Stop, ask, parsed } from './ask.js';
import { photoBytes } from './outbox.js';

const PIECE_BYTES = 64 * 1024;
/** Pieces that may bring nothing forward, before it is left for later. */
const STALLS_MAX = 3;
const GONE = 'The photo is not on this phone any more. Take it again.';

/**
 * @param {string} person  who took them; the server compares with who is signed in
 * @param {string[]} names  SHA-256 of each
 * @returns {Promise<string | null>}  why the server will never take one of them; null when all are there
 */
export async function sendPhotos(person, names) {
  for (const sha256 of names) {
    const fault = await sendPhoto(person, sha256);
    if (fault) return fault;
  }
  return null;
}

/** @param {string} person @param {string} sha256 @returns {Promise<string | null>} */
async function sendPhoto(person, sha256) {
  const address = `/photos/${sha256}/upload`;
  const known = await ask(address, {});
  let { received, complete } = progress(known, await parsed(known));
  const bytes = complete ? undefined : await photoBytes(sha256);
  if (!complete && !bytes) return GONE;
  for (let stalls = 0; !complete && bytes;) {
    const answer = await ask(address, {
      method: 'POST',
      headers: {
        'content-type': 'application/octet-stream',
        'x-expect-person': person,
        'upload-offset': String(received),
        'upload-length': String(bytes.byteLength),
      },
      body: bytes.slice(received, received + PIECE_BYTES),
    });
    const found = await parsed(answer);
    if (answer.status === 409 && typeof found.received !== 'number') throw new Stop(found.type === 'conflict' ? 'other-person' : 'later');
    if ([413, 422].includes(answer.status) && found.type && found.detail) return found.detail;
    const now = progress(answer, found);
    stalls = now.received > received ? 0 : stalls + 1;
    if (stalls > STALLS_MAX) throw new Stop('later');
    ({ received, complete } = now);
  }
  return null;
}

/**
 * How far the photo is; anything else was said by somebody in between.
 * @param {Response} answer @param {{ received?: unknown, complete?: unknown }} found
 * @returns {{ received: number, complete: boolean }}
 */
function progress({ status }, { received, complete }) {
  const isOurs = (status === 200 && typeof complete === 'boolean') || status === 409;
  if (!isOurs || typeof received !== 'number') throw new Stop('later');
  return { received, complete: status === 200 && complete === true };
}
