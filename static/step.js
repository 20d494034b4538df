// @ts-check
/** What one step's form gets from scripts, when the step is opened: most are not looked at on a visit. */

import { wireAwake } from './awake.js';
import { wireDraft } from './draft.js';
import { wireOrder } from './order.js';
import { readyForm } from './overlay.js';
import { wirePhoto } from './photo.js';
import { wireRating } from './rating.js';
import { wireReading } from './reading.js';
import { wireSign } from './sign.js';

/** Whose typing of which page it is. */
const draftPlace = () => `${document.body.dataset.person ?? ''}${location.pathname}`;

/** @param {HTMLElement} step */
export function wireStep(step) {
  if (step.dataset.wired) return;
  step.dataset.wired = 'yes';
  const template = step.querySelector('template');
  template?.replaceWith(template.content);
  const form = step.querySelector('form');
  if (!form) return;
  step.querySelectorAll('[data-order]').forEach(wireOrder);
  if (form.hasAttribute('data-photo')) wirePhoto(form);
  if (form.hasAttribute('data-rating')) wireRating(form);
  wireReading(form);
  wireSign(form);
  wireAwake(form);
  if (step.dataset.supersedes) readyForm(form, step.dataset.supersedes);
  try {
    wireDraft(form, sessionStorage, draftPlace());
  } catch {
    // Storage is switched off on this device: typing is not kept over a reload.
  }
}
