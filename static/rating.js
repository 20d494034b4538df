// @ts-check
/** The Save button of a fuse step names the rating that was read: a last look before it is kept. */

/** @param {HTMLFormElement} form  `data-rating` is the unit; holds radios named `value` */
export function wireRating(form) {
  const save = form.querySelector('[data-save]');
  if (!save) return;
  form.addEventListener('change', () => {
    const chosen = new FormData(form).get('value');
    if (typeof chosen === 'string') save.textContent = `Save ${chosen} ${form.dataset.rating}`;
  });
}
