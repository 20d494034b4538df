// @ts-check
/** The bar's word on what is still on this phone. */

/** @typedef {import('./sender.js').Standing} Standing */

/** @param {Standing} now @returns {{ figure: string, words: string, isBad: boolean }} */
export function heldWords({ waiting, refused, ending, isOld }) {
  if (refused > 0) return { figure: String(refused), words: 'not accepted', isBad: true };
  if (waiting === 0) return { figure: '', words: 'All sent', isBad: false };
  if (ending === 'sign-in') return { figure: String(waiting), words: 'here: sign in', isBad: true };
  if (ending === 'other-person') return { figure: String(waiting), words: 'here: switch', isBad: true };
  if (isOld) return { figure: String(waiting), words: 'here: send soon', isBad: true };
  return { figure: String(waiting), words: 'on this phone', isBad: false };
}

/** @param {HTMLElement} block  hidden until something was recorded on this phone */
export function wireHeld(block) {
  const line = block.querySelector('[data-held-words]');
  return (/** @type {Standing} */ now) => {
    const { figure, words, isBad } = heldWords(now);
    if (now.waiting + now.refused > 0) block.hidden = false;
    block.classList.toggle('held--bad', isBad);
    const number = document.createElement('b');
    number.textContent = figure;
    line?.replaceChildren(...(figure ? [number, ` ${words}`] : [words]));
  };
}
