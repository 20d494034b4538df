// @ts-check
/** A text of the page, given on: by what the phone offers for that, or else by copying it. */

/** @param {HTMLButtonElement} button shown where it can do something; names the text in `data-share` */
export function wireShare(button) {
  button.hidden = !navigator.share && !navigator.clipboard;
  button.addEventListener('click', () => void give(button));
}

/** @param {HTMLButtonElement} button */
async function give(button) {
  const text = document.querySelector(button.dataset.share ?? '')?.textContent?.trim() ?? '';
  try {
    if (navigator.share) await navigator.share({ title: button.dataset.title, url: text });
    else await navigator.clipboard.writeText(text);
    tell(navigator.share ? '' : 'Copied.');
  } catch (why) {
    // Whoever closes the phone's own window changed their mind: nothing to say.
    if (why instanceof DOMException && why.name === 'AbortError') return;
    tell('This did not work. Select the link above and copy it by hand.');
  }
}

/** @param {string} words */
function tell(words) {
  const place = document.querySelector('[data-shared]');
  if (place) place.textContent = words;
}
