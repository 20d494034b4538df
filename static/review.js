// @ts-check
/**
 * The review without leaving its list: a step that is opened takes the place of the one beside the list, so
 * that ticks and a begun remark stay. Keys go through the steps; the switch beside the hint turns them off.
 */

import { askPage, takeParts } from './page-parts.js';

const PARTS = ['entry', 'tape'];
const BESIDE = '(min-width: 1280px)';

/** Whether a key is meant for a field. @param {EventTarget | null} at */
const isTyping = (at) => at instanceof HTMLElement && at.matches('input:not([type="checkbox"]), textarea, select, canvas');

/** @param {HTMLElement} desk */
export function wireReview(desk) {
  const links = /** @type {HTMLAnchorElement[]} */ (Array.from(desk.querySelectorAll('tr[data-row] > th > a')));
  /** @param {Element} link */
  const row = (link) => /** @type {HTMLElement} */ (link.closest('tr'));
  const current = () => links.findIndex((link) => row(link).getAttribute('aria-selected') === 'true');
  const keys = /** @type {HTMLElement | null} */ (desk.querySelector('[data-keys]'));
  let latest = 0;

  /** @param {HTMLAnchorElement} link */
  function select(link) {
    for (const other of links) row(other).removeAttribute('aria-selected');
    row(link).setAttribute('aria-selected', 'true');
    const at = /** @type {HTMLInputElement | null} */ (desk.querySelector('#return [name="at"]'));
    if (at) at.value = new URL(link.href).searchParams.get('step') ?? '';
  }

  /** @param {HTMLAnchorElement} link */
  async function open(link) {
    const turn = ++latest;
    select(link);
    let answer = null;
    try {
      answer = await askPage('GET', link.href);
    } catch {
      // No answer: the browser says so itself where it is asked for the whole page.
    }
    if (turn !== latest) return;
    if (!answer) {
      location.href = link.href;
      return;
    }
    takeParts(answer, document, PARTS);
    history.replaceState(history.state, '', link.href.split('#')[0]);
    if (!matchMedia(BESIDE).matches) document.getElementById('entry')?.scrollIntoView();
  }

  /** @param {number} step  how many rows on */
  function go(step) {
    const link = links[Math.min(Math.max(current() + step, 0), links.length - 1)];
    if (!link) return;
    link.focus();
    link.scrollIntoView({ block: 'nearest' });
    open(link);
  }

  const acts = /** @type {Record<string, () => void>} */ ({
    j: () => go(1),
    k: () => go(-1),
    x: () => /** @type {HTMLInputElement | null} */ (desk.querySelector('tr[aria-selected="true"] [name="step"]'))?.click(),
    d: () => /** @type {HTMLElement | null} */ (desk.querySelector('#decision :is(input, a, button)')
      ?? desk.querySelector('#return textarea'))?.focus(),
  });

  desk.addEventListener('click', (event) => {
    const link = links.find((one) => one.contains(/** @type {Node} */ (event.target)));
    if (!link || event.button !== 0 || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
    event.preventDefault();
    open(link);
  });
  document.addEventListener('keydown', (event) => {
    const act = acts[event.key];
    if (!act || event.ctrlKey || event.metaKey || event.altKey || isTyping(event.target)) return;
    // Keys count only where the hint that tells them is to be seen.
    if (!keys?.offsetParent || document.documentElement.dataset.keys === 'off') return;
    event.preventDefault();
    act();
  });
  if (keys) keys.hidden = false;
}
