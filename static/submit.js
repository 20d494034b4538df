// @ts-check
/** A form is sent once, however often a cold finger presses. */

/** @param {HTMLFormElement} form */
export function wireSubmit(form) {
  const buttons = Array.from(form.querySelectorAll('button:not([type="button"], [type="reset"])'));
  const free = () => {
    delete form.dataset.sending;
    buttons.forEach((button) => button.removeAttribute('aria-disabled'));
  };
  form.addEventListener('submit', (event) => {
    if (event.defaultPrevented) return;
    if (form.dataset.sending) {
      event.preventDefault();
      return;
    }
    form.dataset.sending = 'yes';
    // Marked, not disabled: a disabled button would lose the focus and its own name and value.
    buttons.forEach((button) => button.setAttribute('aria-disabled', 'true'));
  });
  // Back to a page the browser had kept: the form can be used again.
  window.addEventListener('pageshow', (event) => {
    if (event.persisted) free();
  });
}
