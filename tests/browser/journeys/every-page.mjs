// @ts-check
/**
 * Every page that the owner can reach by links, in every state of the demo's jobs: none scrolls sideways, none has
 * a barrier that a machine can find.
 */

import assert from 'node:assert/strict';
import { DARK, EVERY_LOOK, LIGHT, checkAxe } from '../axe.mjs';
import { checkPage } from '../check-page.mjs';
import { DESK, PHONE } from '../demo.mjs';
import { signIn } from './hand.mjs';

export const title = 'Every page, on phone, tablet and desk, light and dark';

/** One way is enough: the scripts change no layout. @type {import('../run.mjs').Way[]} */
export const ways = [{ name: 'with scripts', size: DESK, javascript: true }];

/** Answers that are files and no pages. */
const FILES = [/^\/a\//, /^\/photos\//, /^\/certificates\//, /^\/jobs\/[^/]+\/(handover|archive)$/, /^\/status-list/, /^\/verify\/by-hand$/, /^\/kits\/[^/]+\/file$/, /^\/parts\.csv/, /^\/instruments\/.+(\.csv|\/files\/[0-9a-f]{64})$/];
/** Pages for somebody who is not signed in, and those that no link leads to. */
const APART = ['/sign-in', '/enrol', '/invited', '/switch', '/offline', '/waiting', '/verify', '/verify/TV-0000-0000', '/handover', '/nowhere'];
/** Pages that differ only in what they have open are looked at so many times a job. */
const SAME_PAGE_MAX = 2;
const PAGES_MIN = 50;
/** Of the results on the desk [px]: some rows. */
const ROOM_MIN = 200;
/** Of a page like others before it one look is enough, in turns; the first of its kind gets more. */
const TWO_LOOKS = [{ size: DESK, ...LIGHT }, { size: PHONE, ...DARK }];
const FOUR_LOOKS = [...TWO_LOOKS, { size: DESK, ...DARK }, { size: PHONE, ...LIGHT }];
const SHEET_LOOKS = EVERY_LOOK.map((look) => ({ size: PHONE, ...look }));

/** @param {import('../run.mjs').Given} given */
export async function run({ browser, base, signIns, javascript, size }) {
  const context = await browser.newContext({ viewport: size, javaScriptEnabled: javascript });
  const page = await context.newPage();
  for (const path of APART) {
    await page.goto(base + path);
    await checkPage(page, FOUR_LOOKS);
  }
  await signIn(page, base, signIns.owner);
  await checkMenu(page);
  const seen = new Set();
  const kinds = new Set();
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
    await checkRoom(page);
    ahead.push(...await links(page, base));
    const kind = pathname.replace(/[0-9a-f]{8}-[0-9a-f-]{27}/g, ':id');
    await (kinds.has(kind) ? checkPage(page, [TWO_LOOKS[seen.size % 2]]) : checkAll(page));
    kinds.add(kind);
  }
  assert.ok(seen.size >= PAGES_MIN, `only ${seen.size} pages were found`);
  await context.close();
  return `${seen.size} pages`;
}

/** The first page of its kind, also with everything open that opens. @param {import('playwright-core').Page} page */
async function checkAll(page) {
  await checkPage(page, page.url().includes('/sheet') ? SHEET_LOOKS : FOUR_LOOKS);
  await page.evaluate(() => {
    for (const fold of document.querySelectorAll('details')) {
      fold.name = '';
      fold.open = true;
    }
  });
  await checkPage(page, TWO_LOOKS);
}

/** On the desk the results keep room to be read in, whatever else stands beside them. @param {import('playwright-core').Page} page */
async function checkRoom(page) {
  await page.setViewportSize(DESK);
  const rooms = await page.locator('.desk__table').evaluateAll((all) => all.map((table) => table.clientHeight));
  for (const room of rooms) assert.ok(room >= ROOM_MIN, `${page.url()}: the results have ${room} px`);
}

/** @param {import('playwright-core').Page} page */
async function checkMenu(page) {
  await page.setViewportSize(PHONE);
  await page.locator('.bar__menu').click();
  await page.locator('#menu:popover-open').waitFor();
  await checkAxe(page, [LIGHT, DARK]);
  await page.setViewportSize(DESK);
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
