// @ts-check
/**
 * What the browser adds to pages that work without it. Each part is attached by a data attribute and
 * does nothing where its markup is missing.
 */

import { wireAwake } from './awake.js';
import { wireDraft, forgetSent } from './draft.js';
import { wireFeel } from './feel.js';
import { wireOrder } from './order.js';
import { wirePhoto } from './photo.js';
import { wirePlan } from './plan.js';
import { wireRating } from './rating.js';
import { wireReading } from './reading.js';
import { wireSign } from './sign.js';
import { wireSignature } from './signature.js';
import { wireSubmit } from './submit.js';
import { wireSwitch } from './switches.js';
import { wireVerify } from './verify.js';

/**
 * @template {Element} T
 * @param {string} selector
 * @param {(element: T) => void} wire
 */
function each(selector, wire) {
  for (const element of document.querySelectorAll(selector)) wire(/** @type {T} */ (element));
}

/** A page opened at a step shows it and starts there; its heading is read, no keyboard jumps up. */
function startAtStep() {
  const open = location.hash ? null : document.querySelector('.step__fold[open]');
  const step = location.hash.startsWith('#s-') ? document.getElementById(location.hash.slice(1)) : open;
  const heading = step && step.querySelector('summary');
  if (!heading) return;
  step.scrollIntoView({ block: 'start' });
  // The ring is for those who move by keys; their next key shows it.
  heading.focus(/** @type {FocusOptions} */ ({ preventScroll: true, focusVisible: false }));
}

/** @param {(storage: Storage) => void} use */
function withStorage(use) {
  try {
    use(sessionStorage);
  } catch {
    // Storage is switched off on this device: typing is not kept over a reload.
  }
}

// The order counts: a reading that is not understood stops the send before the draft calls it sent.
each('[data-order]', wireOrder);
each('[data-photo]', wirePhoto);
each('form[data-plan]', wirePlan);
each('form[data-rating]', wireRating);
each('form[data-step]', wireReading);
each('form[data-step]', wireSign);
each('form[data-step]', wireFeel);
each('form[data-step]', wireAwake);
withStorage((storage) => {
  const [visit] = performance.getEntriesByType('navigation');
  const type = visit instanceof PerformanceNavigationTiming ? visit.type : 'navigate';
  if (type === 'navigate') forgetSent(storage, location.pathname);
  each('form[data-step]', (/** @type {HTMLFormElement} */ form) => wireDraft(form, storage, location.pathname));
});
each('[data-signature]', wireSignature);
each('form[method="post"]', wireSubmit);
each('[data-switch]', wireSwitch);
each('[data-verify]', wireVerify);
// After the browser's own jump to the fragment, which would take the focus away again.
window.addEventListener('load', startAtStep);
