// @ts-check
/**
 * What was typed in a step but not saved, kept for this tab, so that a reload or a camera that
 * pushes the page out of memory loses nothing. It is no entry: only Save makes one.
 */

/**
 * @typedef {Pick<Storage, 'getItem' | 'setItem' | 'removeItem' | 'key' | 'length'>} Store
 * @typedef {{ fields: Record<string, string>, sent: boolean }} Draft
 */

const PREFIX = 'draft:';
const FIELD_LENGTH_MAX = 4000;

/** @param {string} path @param {string} step */
const keyOf = (path, step) => `${PREFIX}${path}#${step}`;

/** @param {Store} store @param {string} path @param {string} step @returns {Draft | null} */
export function readDraft(store, path, step) {
  try {
    return JSON.parse(store.getItem(keyOf(path, step)) ?? 'null');
  } catch {
    return null;
  }
}

/** @param {Store} store @param {string} path @param {string} step @param {Draft} draft */
export function keepDraft(store, path, step, draft) {
  const isEmpty = Object.values(draft.fields).every((value) => value === '');
  if (isEmpty) store.removeItem(keyOf(path, step));
  else store.setItem(keyOf(path, step), JSON.stringify(draft));
}

/**
 * The server has answered with a page, so what was sent is stored or stands in the form again.
 * @param {Store} store
 * @param {string} path
 */
export function forgetSent(store, path) {
  const keys = Array.from({ length: store.length }, (_, at) => store.key(at) ?? '');
  for (const key of keys.filter((name) => name.startsWith(`${PREFIX}${path}#`))) {
    const draft = readDraft(store, path, key.slice(`${PREFIX}${path}#`.length));
    if (!draft || draft.sent) store.removeItem(key);
  }
}

/** @param {HTMLFormElement} form */
function typedFields(form) {
  /** @type {(HTMLInputElement | HTMLTextAreaElement)[]} */
  const fields = Array.from(form.querySelectorAll('input[inputmode], input[type="text"], textarea'));
  return fields.filter(({ name }) => name);
}

/** @param {HTMLFormElement} form */
const valuesOf = (form) => Object.fromEntries(
  typedFields(form).map(({ name, value }) => [name, value.slice(0, FIELD_LENGTH_MAX)]),
);

/**
 * @param {HTMLFormElement} form
 * @param {Store} store
 * @param {string} path
 */
export function wireDraft(form, store, path) {
  const step = form.dataset.step ?? '';
  const draft = readDraft(store, path, step);
  for (const field of typedFields(form)) {
    const kept = draft?.fields[field.name];
    if (!kept || field.value) continue;
    field.value = kept;
    field.dispatchEvent(new Event('input', { bubbles: true }));
  }
  form.addEventListener('input', () => {
    keepDraft(store, path, step, { fields: valuesOf(form), sent: false });
  });
  form.addEventListener('submit', (event) => {
    if (!event.defaultPrevented) keepDraft(store, path, step, { fields: valuesOf(form), sent: true });
  });
}
