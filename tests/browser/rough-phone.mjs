// @ts-check
/** A phone in rough weather: two tabs of one person that are opened, filled, reloaded, closed and killed. */

import { PHONE } from './demo.mjs';
import { signIn } from './journeys/hand.mjs';

const OPEN_MS_MAX = 120_000;
const GOTO_MS_MAX = 15_000;
const TABS = 2;

/**
 * @typedef {import('./chance.mjs').Chance} Chance
 * @typedef {import('./compare.mjs').MadeHere} MadeHere
 * @typedef {import('playwright-core').Page} Page
 *
 * What is to be recorded. `seeds`: a picture is made of each.
 * @typedef {object} Plan
 * @property {string} job
 * @property {string} number
 * @property {number} sheet
 * @property {string} step
 * @property {string[]} supersedes
 * @property {{ kind: string } & Record<string, unknown>} payload
 * @property {number[]} seeds
 *
 * What a phone holds at one moment. `told`: of those not sent, how each stands and why.
 * @typedef {{ waiting: number, refused: number, photos: number, told: string[] }} Held
 */

/**
 * Runs in the page: keeps rows through the page's own modules, as a step's form does, and has them sent.
 * @param {{ build: string, groups: Plan[][] }} given  what is kept together
 */
async function record({ build, groups }) {
  const { $outbox: outbox, $body: bodies, $ids: ids, $shrink: shrinking, $sender: sender } = await import(`/a/${build}/app.js`);
  const { person = '', personName = '' } = document.body.dataset;
  const { noteMade, noteKept } = /** @type {any} */ (globalThis);
  /** A picture that does not pack well, so that it goes in several pieces. @param {number} seed */
  const draw = async (seed) => {
    const canvas = new OffscreenCanvas(520, 390);
    const ink = /** @type {OffscreenCanvasRenderingContext2D} */ (canvas.getContext('2d'));
    let state = seed;
    for (let spot = 0; spot < 9000; spot += 1) {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
      ink.fillStyle = `#${(state >>> 8).toString(16).padStart(6, '0')}`;
      ink.fillRect(state % 520, (state >>> 9) % 390, 9, 9);
    }
    return shrinking.shrink(await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.95 }));
  };
  for (const group of groups) {
    const rows = [];
    const photos = [];
    for (const { job, number, sheet, step, supersedes, payload, seeds } of group) {
      const drawn = await Promise.all(seeds.map(draw));
      photos.push(...drawn.map(({ sha256, buffer }) => ({ sha256, jpeg: buffer })));
      const names = drawn.map(({ sha256 }) => sha256);
      const whole = names.length > 0 ? { ...payload, photos: names } : payload;
      const id = ids.newId();
      const body = bodies.bodyText({ id, job, sheet, step, at: bodies.deviceTime(), supersedes, payload: whole });
      rows.push({
        id, person, personName, job, number, step, title: step, kind: payload.kind, value: payload.kind, body,
        at: Date.now(), photos: names, verdict: null,
      });
    }
    await noteMade(rows.map(({ id, job, body, photos: named }) => ({ id, job, person, body, photos: named })));
    await outbox.append(rows, photos);
    await noteKept(rows.map(({ id }) => id));
  }
  await sender.changed();
  // Whoever records goes on meanwhile; what sending comes to is seen in the end.
  sender.sendNow().catch(() => {});
}

/** Runs in the page. @param {string} build @returns {Promise<Held>} */
async function look(build) {
  const { $outbox: { listRows }, $store: { transact, answered } } = await import(`/a/${build}/app.js`);
  /** @type {{ state: string, kind: string, reason: string }[]} */
  const rows = await listRows();
  const count = (/** @type {string} */ state) => rows.filter((row) => row.state === state).length;
  const photos = await transact(['photos'], 'readonly', (/** @type {IDBTransaction} */ all) => answered(all.objectStore('photos').count()));
  const open = rows.filter(({ state }) => state !== 'sent').map(({ state, kind, reason }) => `${kind} ${state} ${reason}`);
  return { waiting: count('waiting'), refused: count('refused') + count('aside'), photos, told: [...new Set(open)].slice(0, 5) };
}

/**
 * Runs in the page: whether the program is whole on this phone, and the list of jobs with it. What was kept may
 * have come over the bad line, and is used for as long as its build.
 */
async function isReady() {
  const names = await caches.keys();
  for (const name of names.filter((any) => any.startsWith('shell-'))) {
    const shell = await caches.open(name);
    for (const request of await shell.keys()) {
      const type = (await shell.match(request))?.headers.get('content-type') ?? '';
      const isPage = !new URL(request.url).pathname.startsWith('/a/');
      if (isPage !== type.startsWith('text/html')) throw new Error(`${request.url} is kept as ${type}`);
    }
  }
  return (await caches.match('/jobs')) !== undefined;
}

/**
 * @param {import('playwright-core').Browser} browser
 * @param {string} base
 * @param {import('./demo.mjs').SignIn} who
 * @param {Chance} chance
 */
export async function openPhone(browser, base, who, chance) {
  const context = await browser.newContext({ viewport: PHONE });
  /** @type {Map<string, MadeHere>} */
  const made = new Map();
  await context.exposeFunction('noteMade', (/** @type {import('./compare.mjs').Made[]} */ rows) => {
    for (const row of rows) made.set(row.id, { ...row, isKept: false });
  });
  await context.exposeFunction('noteKept', (/** @type {string[]} */ ids) => {
    for (const id of ids) /** @type {MadeHere} */ (made.get(id)).isKept = true;
  });
  const first = await context.newPage();
  await signIn(first, base, who);
  /** @type {(Page | null)[]} */
  const tabs = [first, ...Array(TABS - 1).fill(null)];

  /** The build of a page of ours whose scripts run; nothing on anybody else's. @param {Page} page */
  const buildOf = (page) => page.evaluate(async () => {
    const script = document.querySelector('script[type="module"][src^="/a/"]');
    const build = document.body.dataset.person && /\/a\/([0-9a-f]+)\//.exec(script?.getAttribute('src') ?? '')?.[1];
    if (!build) return '';
    // A page that did not get its script is loaded again.
    await import(`/a/${build}/app.js`);
    return build;
  }).catch(() => '');

  /** Goes somewhere until a page of ours is there. @param {number} at @param {string} path */
  async function open(at, path) {
    const until = Date.now() + OPEN_MS_MAX;
    while (Date.now() < until) {
      const page = tabs[at] ?? await context.newPage();
      tabs[at] = page;
      await page.goto(base + path, { waitUntil: 'domcontentloaded', timeout: GOTO_MS_MAX }).catch(() => {});
      if (await buildOf(page)) return;
      await new Promise((resolve) => { setTimeout(resolve, 100); });
    }
    throw new Error(`${path} could not be opened for ${OPEN_MS_MAX / 1000} s`);
  }

  /** Ends a tab, now and then as if its memory had been taken. @param {number} at @param {boolean} isHard */
  async function end(at, isHard) {
    const page = tabs[at];
    tabs[at] = null;
    if (!page) return;
    if (isHard) {
      const session = await context.newCDPSession(page).catch(() => null);
      const gone = new Promise((resolve) => { page.once('crash', resolve); setTimeout(resolve, 2000); });
      session?.send('Page.crash').catch(() => {});
      await gone;
    }
    await page.close().catch(() => {});
  }

  /** A tab that runs, opened where there is none. @param {number} at @returns {Promise<{ page: Page, build: string }>} */
  async function ready(at) {
    for (;;) {
      const page = tabs[at];
      const build = page && !page.isClosed() ? await buildOf(page) : '';
      if (page && build) return { page, build };
      await end(at, false);
      await open(at, '/jobs');
    }
  }

  /** @param {Plan[][]} groups @param {number} at  which tab @param {number | null} endsAfterMs  it is ended meanwhile */
  async function fill(groups, at, endsAfterMs) {
    const { page, build } = await ready(at);
    const filled = page.evaluate(record, { build, groups });
    if (endsAfterMs === null) return filled.catch((why) => { if (!page.isClosed() && tabs[at] === page) return explain(why); });
    const settled = filled.catch(() => {});
    await new Promise((resolve) => { setTimeout(resolve, endsAfterMs); });
    await end(at, chance.is(0.5));
    return settled;
  }

  /** A page that went away under its own script is rough weather; all else is told. @param {unknown} why */
  function explain(why) {
    if (!/destroyed|closed|crashed|navigat/i.test(String(why))) throw why;
  }

  return {
    context, made, open, end, fill,
    /** Signal is back, as the browser says it. */
    async signal() {
      for (const page of tabs) await page?.evaluate(() => { window.dispatchEvent(new Event('online')); }).catch(() => {});
    },
    /** In fair weather the phone is made ready for a place without signal, whatever was before. */
    async becomesReady() {
      for (const until = Date.now() + OPEN_MS_MAX; Date.now() < until;) {
        await open(0, '/jobs');
        if (await /** @type {Page} */ (tabs[0]).evaluate(isReady)) return;
        await new Promise((resolve) => { setTimeout(resolve, 500); });
      }
      throw new Error('the phone keeps no page');
    },
    /** @returns {Promise<Held>} */
    async held() {
      const { page, build } = await ready(0);
      return page.evaluate(look, build);
    },
  };
}
