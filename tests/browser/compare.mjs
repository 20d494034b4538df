// @ts-check
/** What phones made beside what the server has: every entry there once, byte for byte, and every photo. */

/**
 * @typedef {{ id: string, job: string, person: string, body: string, photos: string[] }} Made
 *   `isKept`: the phone said that it is on its disk; before that it may be gone with its tab.
 * @typedef {Made & { isKept: boolean }} MadeHere
 * @typedef {Omit<Made, 'photos'>} Stored
 * @typedef {{ sha256: string, file: string | null }} StoredPhoto  `file`: digest of what lies on the disk
 * @typedef {{ lost: string[], doubled: string[], changed: string[], foreign: string[], lostPhotos: string[] }} Found
 */

/**
 * @param {MadeHere[]} made
 * @param {{ entries: Stored[], photos: StoredPhoto[] }} record
 * @param {Set<string>} before  ids of entries that were there before anything was made
 * @returns {Found}  ids and digests
 */
export function compare(made, record, before) {
  const byId = grouped(record.entries);
  const ids = new Set(made.map(({ id }) => id));
  const whole = new Set(record.photos.filter(({ sha256, file }) => sha256 === file).map(({ sha256 }) => sha256));
  const isThere = (/** @type {Made} */ { id }) => byId.has(id);
  const differs = (/** @type {MadeHere} */ one) => (byId.get(one.id) ?? [])
    .some(({ job, person, body }) => job !== one.job || person !== one.person || body !== one.body);
  const named = made.filter((one) => one.isKept || isThere(one)).flatMap(({ photos }) => photos);
  return {
    lost: made.filter((one) => one.isKept && !isThere(one)).map(({ id }) => id),
    doubled: [...byId].filter(([, rows]) => rows.length > 1).map(([id]) => id),
    changed: made.filter(differs).map(({ id }) => id),
    foreign: [...byId.keys()].filter((id) => !ids.has(id) && !before.has(id)),
    lostPhotos: [...new Set(named)].filter((sha256) => !whole.has(sha256)),
  };
}

/** @param {Stored[]} entries */
function grouped(entries) {
  /** @type {Map<string, Stored[]>} */
  const byId = new Map();
  for (const entry of entries) byId.set(entry.id, [...(byId.get(entry.id) ?? []), entry]);
  return byId;
}
