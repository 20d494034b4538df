// @ts-check
/** Paints what is typed in the settings into the picture of a paper's head, as it is typed. */

/** @param {HTMLElement} head  its parts name their field by `data-of` */
export function wirePaperHead(head) {
  for (const part of head.querySelectorAll('[data-of]')) {
    const name = /** @type {HTMLElement} */ (part).dataset.of ?? '';
    const field = /** @type {HTMLInputElement | HTMLTextAreaElement | null} */ (document.querySelector(`[name="${name}"]`));
    field?.addEventListener('input', () => {
      part.textContent = field.value.trim();
    });
  }
}
