// @ts-check
/**
 * The small store beside the database: rows without photos that the database had no room for. They are shown,
 * counted and sent like all others until they can be taken in.
 */

/** @typedef {import('./outbox.js').Row} Row */

const SPILL = 'spill:';
/** Behind every place that the database gave. */
const SPILL_PLACE = Number.MAX_SAFE_INTEGER;

/** What had to be kept beside the database; the worker has no such store. @returns {Row[]} */
export function spilledRows() {
  const store = globalThis.localStorage;
  const keys = Array.from({ length: store?.length ?? 0 }, (_, at) => store.key(at) ?? '');
  return keys.filter((key) => key.startsWith(SPILL)).flatMap((key) => {
    // What is no row stays where it is and holds nothing up.
    try {
      const row = JSON.parse(store.getItem(key) ?? '');
      return row?.id ? [{ place: SPILL_PLACE, state: 'waiting', reason: '', seq: -1, ...row }] : [];
    } catch {
      return [];
    }
  });
}

/** @param {import('./outbox.js').NewRow | Row} row */
export const spill = (row) => localStorage.setItem(SPILL + row.id, JSON.stringify(row));

/** @param {string} id */
export const unspill = (id) => localStorage.removeItem(SPILL + id);
