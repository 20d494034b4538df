// @ts-check
/** The switches of this device: glare and left hand. They are kept here and concern nobody else. */

/** @param {HTMLElement} button  `data-switch` names the mode, `data-on` its value when on */
export function wireSwitch(button) {
  const mode = button.dataset.switch ?? '';
  const on = button.dataset.on ?? 'on';
  const root = document.documentElement.dataset;
  const draw = () => button.setAttribute('aria-pressed', String(root[mode] === on));
  button.hidden = false;
  button.addEventListener('click', () => {
    if (root[mode] === on) delete root[mode];
    else root[mode] = on;
    try {
      if (root[mode]) localStorage.setItem(`mode:${mode}`, on);
      else localStorage.removeItem(`mode:${mode}`);
    } catch {
      // Storage is switched off on this device: the mode lasts for this page.
    }
    draw();
  });
  draw();
}
