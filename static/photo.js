// @ts-check
/** Shows the photos that were picked, before they are sent. */

const SHOTS_MAX = 8;

/** @param {Element} block  a form with one file input and an element marked `data-preview` */
export function wirePhoto(block) {
  const input = block.querySelector('input[type="file"]');
  const preview = block.querySelector('[data-preview]');
  if (!(input instanceof HTMLInputElement) || !preview) return;
  /** @type {string[]} */
  let addresses = [];
  input.addEventListener('change', () => {
    addresses.forEach((address) => URL.revokeObjectURL(address));
    const files = Array.from(input.files ?? []).slice(0, SHOTS_MAX);
    addresses = files.map((file) => URL.createObjectURL(file));
    preview.replaceChildren(...files.map((file, at) => shot(file, addresses[at])));
  });
}

/** @param {File} file @param {string} address */
function shot(file, address) {
  const figure = document.createElement('figure');
  figure.className = 'photo__shot';
  const image = document.createElement('img');
  image.src = address;
  image.alt = `Photo to be saved: ${file.name}`;
  const caption = document.createElement('figcaption');
  caption.textContent = 'Not saved yet';
  figure.append(image, caption);
  return figure;
}
