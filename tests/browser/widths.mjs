// @ts-check
/** Phone, tablet, desk: at none of these widths may a page scroll sideways. */

const WIDTHS = [390, 768, 1280];

/** Runs in the page: what sticks out furthest, or null. */
function sticksOut() {
  const { scrollWidth, clientWidth } = document.documentElement;
  if (scrollWidth <= clientWidth) return null;
  const outside = [...document.body.querySelectorAll('*')]
    .map((element) => ({ element, right: element.getBoundingClientRect().right }))
    .sort((one, other) => other.right - one.right)[0];
  const name = outside ? `${outside.element.tagName.toLowerCase()}.${outside.element.classList}` : 'something';
  return `${scrollWidth - clientWidth} px, by ${name}`;
}

/**
 * Fails with the page's address and what sticks out; leaves the page at the size it had.
 * @param {import('playwright-core').Page} page
 */
export async function checkWidths(page) {
  const size = page.viewportSize() ?? { width: 1280, height: 800 };
  for (const width of WIDTHS) {
    await page.setViewportSize({ width, height: size.height });
    const found = await page.evaluate(sticksOut);
    if (found) throw new Error(`${page.url()} scrolls sideways at ${width} px wide (${found})`);
  }
  await page.setViewportSize(size);
}
