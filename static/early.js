// @ts-check
/**
 * Runs before the page is drawn, so that glare and left-hand mode do not flash. Classic script on
 * purpose: a module would come too late.
 */
(function setModes() {
  try {
    for (const mode of ['glare', 'hand', 'keys']) {
      const value = localStorage.getItem(`mode:${mode}`);
      if (value) document.documentElement.dataset[mode] = value;
    }
  } catch {
    // Storage is switched off on this device: the page shows its usual mode.
  }
}());
