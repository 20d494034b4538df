// @ts-check
/** Barriers on a page that a machine can find: axe-core, WCAG 2.0 to 2.2 A and AA and best practice. */

import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

const SOURCE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

/**
 * How the page is looked at; what is left out stays as the journey has it. Glare is the sheet's own switch.
 * @typedef {object} Look
 * @property {{ width: number, height: number }} [size]
 * @property {'light' | 'dark'} [colorScheme]
 * @property {'more'} [contrast]
 * @property {boolean} [glare]
 */

/** @type {Look} */
export const LIGHT = { colorScheme: 'light' };
/** @type {Look} */
export const DARK = { colorScheme: 'dark' };
/** Every set of colours there is. @type {Look[]} */
export const EVERY_LOOK = [
  LIGHT, DARK, { ...LIGHT, contrast: 'more' }, { ...DARK, contrast: 'more' }, { ...DARK, glare: true },
];

/**
 * Runs in the page: for each element that breaks a rule, the rule, the element and what to mend. From the top of
 * the page, for what has scrolled half below the bar would be called too small; then back to where it was.
 * @param {string[]} tags
 */
async function findBarriers(tags) {
  /** @type {import('axe-core')} */
  const axe = Reflect.get(window, 'axe');
  const top = window.scrollY;
  window.scrollTo(0, 0);
  const { violations } = await axe.run({ runOnly: { type: 'tag', values: tags }, resultTypes: ['violations'] });
  window.scrollTo(0, top);
  return violations.flatMap(({ id, help, nodes }) => nodes.map(
    ({ target, failureSummary }) => `${id} (${help}): ${target.join(' ')}\n    ${failureSummary}`,
  ));
}

/** @param {import('playwright-core').Page} page @param {Look} look */
async function lookAt(page, { size, colorScheme = 'light', contrast = undefined, glare = false }) {
  if (size) await page.setViewportSize(size);
  await page.emulateMedia({ colorScheme, contrast: contrast ?? 'no-preference' });
  await page.evaluate((on) => document.documentElement.toggleAttribute('data-glare', on), glare);
}

/** Where scripts are switched off axe cannot run. @param {import('playwright-core').Page} page */
const runsScripts = (page) => page.evaluate(() => matchMedia('(scripting: enabled)').matches);

/**
 * Fails with the page's address and every barrier found in any of the looks; leaves the page as it was. The source
 * is evaluated and not added as a script, which the page's content policy would refuse.
 * @param {import('playwright-core').Page} page
 * @param {Look[]} looks
 */
export async function checkAxe(page, looks = [LIGHT]) {
  if (!await runsScripts(page)) return;
  const size = page.viewportSize() ?? undefined;
  await page.evaluate(SOURCE);
  for (const look of looks) {
    await lookAt(page, look);
    const found = await page.evaluate(findBarriers, TAGS);
    if (found.length === 0) continue;
    throw new Error(`${page.url()}, ${JSON.stringify(look)}: ${found.length} barriers\n  ${found.join('\n  ')}`);
  }
  await lookAt(page, { size });
}
