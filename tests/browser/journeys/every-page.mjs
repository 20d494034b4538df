// @ts-check
/** Every page that the owner can reach by links, in every state of the demo's jobs: none scrolls sideways. */

import assert from 'node:assert/strict';
import { DESK } from '../demo.mjs';
import { checkWidths } from '../widths.mjs';
import { signIn } from './hand.mjs';

export const title = 'Every page, at the widths of phone, tablet and desk';

/** One way is enough: the scripts change no layout. @type {import('../run.mjs').Way[]} */
export const ways = [{ name: 'with scripts', size: DESK, javascript: true }];

/** Answers that are files and no pages. */
const FILES = [/^\/a\//, /^\/photos\//, /^\/certificates\//, /^\/kits\/[^/]+\/file$/];
/** Pages that differ only in what they have open are looked at so many times a job. */
const SAME_PAGE_MAX = 3;
const PAGES_MIN = 50;

/** @param {import('../run.mjs').Given} given */
export async function run({ browser, base, signIns, javascript, size }) {
  const context = await browser.newContext({ viewport: size, javaScriptEnabled: javascript });
  const page = await context.newPage();
  for (const path of ['/sign-in', '/enrol', '/switch', '/verify', '/verify/TV-0000-0000', '/nowhere']) {
    await page.goto(base + path);
    await checkWidths(page);
  }
  await signIn(page, base, signIns.owner);
  const seen = new Set();
  /** @type {Map<string, number>} */
  const times = new Map();
  const ahead = ['/jobs', '/jobs/new', '/kits', '/instruments', '/people', '/phones', '/settings'];
  for (let path = ahead.shift(); path !== undefined; path = ahead.shift()) {
    const { pathname } = new URL(path, base);
    const before = times.get(pathname) ?? 0;
    if (seen.has(path) || before === SAME_PAGE_MAX) continue;
    seen.add(path);
    times.set(pathname, before + 1);
    await page.goto(base + path);
    await checkWidths(page);
    ahead.push(...await links(page, base));
  }
  assert.ok(seen.size >= PAGES_MIN, `only ${seen.size} pages were found`);
  await context.close();
  return `${seen.size} pages`;
}

/** Where the page leads, without fragments. @param {import('playwright-core').Page} page @param {string} base */
async function links(page, base) {
  const all = await page.locator('a[href]').evaluateAll(
    (found) => found.map((link) => /** @type {HTMLAnchorElement} */ (link).href),
  );
  return all
    .map((href) => new URL(href))
    .filter((url) => url.origin === base && !FILES.some((file) => file.test(url.pathname)))
    .map((url) => url.pathname + url.search);
}
