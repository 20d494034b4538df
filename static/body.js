// @ts-check
/**
 * The exact text of an entry's body: written once, hashed byte for byte, sent as it is. Keys in the order of
 * `Body` in `server/domain/entry.rs`; the texts in `tests/data/forms.json` hold both together.
 */

const BODY_VERSION = 1;
const MINUTE_MS = 60_000;

/**
 * @typedef {object} Body
 * @property {string} id  of the entry, UUIDv7
 * @property {string} job
 * @property {number} sheet  the edition that the person looked at
 * @property {string} [step]  its key; none for the whole job
 * @property {string} at  RFC 3339
 * @property {string[]} [supersedes]  the results that this one replaces
 * @property {boolean} [improbable]  looked at twice and kept
 * @property {{ kind: string } & Record<string, unknown>} payload
 */

/** @param {Body} body */
export function bodyText({ id, job, sheet, step = '', at, supersedes = [], improbable = false, payload }) {
  return JSON.stringify({
    v: BODY_VERSION,
    id,
    job,
    sheet,
    // What is undefined is left out, as the server leaves out what is empty.
    step: step || undefined,
    at,
    supersedes: supersedes.length > 0 ? supersedes : undefined,
    improbable: improbable || undefined,
    ...payload,
  });
}

/** @param {number} count */
const two = (count) => String(count).padStart(2, '0');

/**
 * The time of this device with its offset: `2026-11-25T14:03:07.120+01:00`.
 * @param {Pick<Date, 'getTime' | 'getTimezoneOffset'>} [now]
 */
export function deviceTime(now = new Date()) {
  const east = -Math.round(now.getTimezoneOffset());
  const local = new Date(now.getTime() + east * MINUTE_MS).toISOString().slice(0, -1);
  const size = Math.abs(east);
  return `${local}${east < 0 ? '-' : '+'}${two(Math.floor(size / 60))}:${two(size % 60)}`;
}
