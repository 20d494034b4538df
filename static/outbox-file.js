// @ts-check
/**
 * The last resort: what waits here as a file that a manager can load. The phone keeps everything until the
 * server has it.
 */

import { listRows, photoBytes } from './outbox.js';
import { readMeta } from './store.js';

const BYTES_AT_ONCE = 0x8000;

/** @param {ArrayBuffer} bytes */
export function base64(bytes) {
  const all = new Uint8Array(bytes);
  let text = '';
  for (let at = 0; at < all.length; at += BYTES_AT_ONCE) {
    text += String.fromCharCode(...all.subarray(at, at + BYTES_AT_ONCE));
  }
  return btoa(text);
}

/** @param {string} person @param {Date} now @returns {Promise<{ name: string, text: string }>} */
export async function outboxFile(person, now) {
  const rows = (await listRows()).filter((row) => row.person === person && row.state === 'waiting');
  const photos = [];
  for (const sha256 of new Set(rows.flatMap((row) => row.photos))) {
    const bytes = await photoBytes(sha256);
    if (bytes) photos.push({ sha256, jpeg: base64(bytes) });
  }
  const personName = rows.at(-1)?.personName ?? (await readMeta('personName')) ?? '';
  const file = {
    fusewright_outbox: 1,
    saved: now.toISOString(),
    person,
    person_name: personName,
    device: null,
    clock: now.getTime(),
    entries: rows.map(({ job, body }) => ({ job, body })),
    photos,
  };
  const plain = personName.normalize('NFKD').replace(/[^A-Za-z0-9]+/g, '-').replace(/^-|-$/g, '').toLowerCase();
  return { name: `fusewright-outbox-${plain || 'phone'}-${now.toISOString().slice(0, 10)}.json`, text: JSON.stringify(file) };
}

/** @param {string} person */
export async function saveFile(person) {
  const { name, text } = await outboxFile(person, new Date());
  const address = URL.createObjectURL(new Blob([text], { type: 'application/json' }));
  const link = document.createElement('a');
  link.href = address;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}
