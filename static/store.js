// @ts-check
/**
 * The phone's own database. Whoever writes here is told "done" only after the transaction is on disk.
 *
 *     outbox   what was recorded here, by id, until a page of the server shows it
 *     photos   their bytes, by SHA-256, until the server has them
 *     meta     single values by name
 */

const NAME = 'fusewright';
/** It only grows: an older page that is still open goes on with what a newer one made. */
const VERSION = 1;

/** @typedef {'outbox' | 'photos' | 'meta'} StoreName */

/** @type {Promise<IDBDatabase> | null} */
let opened = null;

/** @param {number} [version] @returns {Promise<IDBDatabase>} */
function connect(version) {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, version);
    asked.onupgradeneeded = () => {
      const outbox = asked.result.createObjectStore('outbox', { keyPath: 'id' });
      outbox.createIndex('job', 'job');
      asked.result.createObjectStore('photos', { keyPath: 'sha256' });
      asked.result.createObjectStore('meta');
    };
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => {
      const db = asked.result;
      const forget = () => { opened = null; };
      db.onclose = forget;
      db.onversionchange = () => {
        forget();
        db.close();
      };
      resolve(db);
    };
  });
}

/** Asked for on the first line of a page: the first opening takes longest. */
export function openStore() {
  opened ??= connect(VERSION).catch((why) => {
    // A newer page has been here already: its database holds all that this one knows.
    if (why?.name === 'VersionError') return connect();
    opened = null;
    throw why;
  });
  return opened;
}

/** @param {DOMException | undefined} why */
const isDead = (why) => why?.name === 'InvalidStateError' || why?.name === 'UnknownError';

/**
 * Runs `work` in one transaction and gives its answer once everything is on disk.
 * @template T
 * @param {StoreName[]} stores
 * @param {IDBTransactionMode} mode
 * @param {(transaction: IDBTransaction) => T | Promise<T>} work  awaits nothing but requests of this transaction
 * @returns {Promise<T>}
 */
export async function transact(stores, mode, work) {
  try {
    return await attempt(stores, mode, work);
  } catch (why) {
    if (!isDead(/** @type {DOMException} */ (why))) throw why;
    // A connection that lay in the background may be dead; a new one works.
    opened = null;
    return attempt(stores, mode, work);
  }
}

/** @template T @param {StoreName[]} stores @param {IDBTransactionMode} mode @param {(transaction: IDBTransaction) => T | Promise<T>} work */
async function attempt(stores, mode, work) {
  const db = await openStore();
  const transaction = db.transaction(stores, mode, { durability: 'strict' });
  const onDisk = new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve(undefined);
    transaction.onabort = () => reject(transaction.error ?? new DOMException('aborted', 'AbortError'));
  });
  try {
    const answer = await work(transaction);
    await onDisk;
    return answer;
  } catch (why) {
    onDisk.catch(() => {});
    try {
      transaction.abort();
    } catch {
      // It has ended by itself: `why` says how.
    }
    throw why;
  }
}

/** @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
export function answered(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** @param {string} name */
export const readMeta = (name) => transact(['meta'], 'readonly', (all) => answered(all.objectStore('meta').get(name)));

/** @param {string} name @param {unknown} value */
export const writeMeta = (name, value) => transact(['meta'], 'readwrite', (all) => {
  all.objectStore('meta').put(value, name);
});
