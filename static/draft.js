// @ts-check
/**
 * What was typed in a step but not saved, kept for this tab, so that a reload or a camera that
 * pushes the page out of memory loses nothing. It is no entry: only Save makes one.
 */

/** @typedef {Pick<Storage, 'getItem' | 'setItem' | 'removeItem'>} Store */

const PREFIX = 'draft:';
const FIELD_LENGTH_MAX = 4000;

/** @param {string} place  whose page of which job @param {string} step */
const keyOf = (place, step) => `${PREFIX}${place}#${step}`;

/** @param {Store} store @param {string} place @param {string} step @returns {Record<string, string> | null}  by field */
export function readDraft(store, place, step) {
  try {
    return JSON.parse(store.getItem(keyOf(place, step)) ?? 'null');
  } catch {
    return null;
  }
}

/** @param {Store} store @param {string} place @param {string} step @param {Record<string, string>} fields */
export function keepDraft(store, place, step, fields) {
  const isEmpty = Object.values(fields).every((value) => value === '');
  if (isEmpty) store.removeItem(keyOf(place, step));
  else store.setItem(keyOf(place, step), JSON.stringify(fields));
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
 * @param {string} place
 */
export function wireDraft(form, store, place) {
  const step = form.dataset.step ?? '';
  const draft = readDraft(store, place, step);
  for (const field of typedFields(form)) {
    const kept = draft?.[field.name];
    if (!kept || field.value) continue;
    field.value = kept;
    field.dispatchEvent(new Event('input', { bubbles: true }));
  }
  // A form that was saved is emptied, and takes its draft with it.
  form.addEventListener('input', () => keepDraft(store, place, step, valuesOf(form)));
}
