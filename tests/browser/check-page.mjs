// @ts-check
/** What every page must stand: no sideways scroll at any width, no barrier that a machine can find. */

import { DARK, LIGHT, checkAxe } from './axe.mjs';
import { checkWidths } from './widths.mjs';

/**
 * @param {import('playwright-core').Page} page
 * @param {import('./axe.mjs').Look[]} [looks]
 */
export async function checkPage(page, looks = [LIGHT, DARK]) {
  await checkWidths(page);
  await checkAxe(page, looks);
}
