// @ts-check
/**
 * Weights and speeds of the sheet on the phone, beside what they should be. It prints and asserts nothing: speeds
 * depend on the machine and on who else uses it.
 */

import { brotliCompressSync, constants, gzipSync } from 'node:zlib';
import { PHONE, addressOf, onStage } from './demo.mjs';
import { signIn } from './journeys/hand.mjs';

const RUNS = Number(process.argv[2] ?? 7);
/** A job of the demo whose sheet is made and empty. */
const JOB_READY = 8;
const SLOW_RUNS = 3;
const SETTLE_MS_MAX = 30_000;
/** A slow network of the third generation: 400 kbit/s, two seconds there and back. */
const SLOW = { offline: false, latency: 2000, downloadThroughput: 50_000, uploadThroughput: 50_000 };

/** @typedef {import('playwright-core').Page} Page */
/** @typedef {import('playwright-core').CDPSession} Session */
/** @typedef {{ paint: number, wired: number, answers: number }} Times */

/** @param {number} bytes */
const kilo = (bytes) => `${(bytes / 1000).toFixed(1)} kB`;

/** @param {string} name @param {string} found @param {string} [budget] */
function line(name, found, budget = '') {
  console.log(`${name.padEnd(46)} ${found.padEnd(34)} ${budget && `budget ${budget}`}`.trimEnd());
}

/** @param {Buffer} bytes */
const brotliSize = (bytes) => brotliCompressSync(bytes, {
  params: { [constants.BROTLI_PARAM_QUALITY]: 5 },
}).length;

/**
 * What a visit takes over the wire, each answer with its headers, by kind.
 * @param {Page} page @param {Session} session @param {string} url @param {boolean} [isFirst]  with nothing kept
 */
async function visit(page, session, url, isFirst = true) {
  /** @type {Map<string, { url: string, type: string, bytes: number }>} */
  const answers = new Map();
  session.on('Network.responseReceived', ({ requestId, response, type }) => {
    answers.set(requestId, { url: response.url, type, bytes: 0 });
  });
  session.on('Network.loadingFinished', ({ requestId, encodedDataLength }) => {
    const answer = answers.get(requestId);
    if (answer) answer.bytes = encodedDataLength;
  });
  await page.goto('about:blank');
  await session.send('Network.enable');
  if (isFirst) await session.send('Network.clearBrowserCache');
  await page.goto(url, { waitUntil: 'networkidle' });
  const all = [...answers.values()];
  await session.send('Network.disable');
  return all;
}

/** @param {Page} page @param {Session} session @param {string} url */
async function weigh(page, session, url) {
  const html = Buffer.from(await (await page.context().request.get(url)).body());
  line('HTML', `${kilo(html.length)} raw`);
  line('HTML, packed', `${kilo(gzipSync(html).length)} gzip, ${kilo(brotliSize(html))} brotli`, '20 kB');
  const answers = await visit(page, session, url);
  /** @param {string} type */
  const of = (type) => answers.filter((answer) => answer.type === type);
  /** @param {{ bytes: number }[]} some */
  const sum = (some) => some.reduce((total, { bytes }) => total + bytes, 0);
  line('CSS on the wire', kilo(sum(of('Stylesheet'))), '12 kB');
  line(`${of('Script').length} scripts on the wire`, kilo(sum(of('Script'))), '36 kB');
  for (const { url: script, bytes } of of('Script')) {
    const plain = await (await page.context().request.get(script)).body();
    line(`  ${script.split('/').pop()}`, `${kilo(plain.length)} raw, ${kilo(bytes)} on the wire`);
  }
  line('fonts on the wire', kilo(sum(of('Font'))), '32 kB');
  line(`first visit, ${answers.length} answers on the wire`, kilo(sum(answers)), '100 kB');
  const later = await visit(page, session, url, false);
  line('a later visit, from the server', kilo(sum(later)), '25 kB');
  line('elements', String(await page.locator('*').count()), '1 800');
}

/** Says in the page when it answers for the first time after it was parsed: a tap would wait as long. */
function markFirstAnswer() {
  document.addEventListener('DOMContentLoaded', () => setTimeout(() => performance.mark('answers')));
}

/** Runs in the page. Where it does not say itself when it is wired, its scripts ran before DOMContentLoaded. @returns {Times} */
function readTimes() {
  const [visit] = /** @type {PerformanceNavigationTiming[]} */ (performance.getEntriesByType('navigation'));
  /** @param {string} name */
  const at = (name) => performance.getEntriesByName(name)[0]?.startTime;
  const wired = at('wired') ?? visit.domContentLoadedEventEnd;
  return { paint: at('first-contentful-paint') ?? NaN, wired, answers: Math.max(wired, at('answers') ?? NaN) };
}

/** @param {number[]} values */
function bestAndMedian(values) {
  const sorted = values.toSorted((one, other) => one - other);
  return `${sorted[0].toFixed(0)}..${sorted[Math.floor(sorted.length / 2)].toFixed(0)}`;
}

/**
 * Opens the sheet some times and prints best and median.
 * @param {string} name @param {Page} page @param {string} url @param {string} budget
 * @param {{ runs?: number, before?: () => Promise<unknown> }} [how]
 */
async function time(name, page, url, budget, { runs = RUNS, before = async () => {} } = {}) {
  /** @type {Times[]} */
  const all = [];
  for (let run = 0; run < runs; run += 1) {
    await page.goto('about:blank');
    await before();
    await page.goto(url, { waitUntil: 'load' });
    await page.waitForFunction(() => performance.getEntriesByName('answers').length > 0
      && (performance.getEntriesByName('wired').length > 0 || !document.body.dataset.person), null, { timeout: SETTLE_MS_MAX });
    all.push(await page.evaluate(readTimes));
  }
  const said = /** @type {const} */ (['paint', 'wired', 'answers']).map((key) => `${key} ${bestAndMedian(all.map((times) => times[key]))}`);
  line(`${name}, ms, best..median of ${runs}`, said.join(', '), budget);
}

/** Whether the worker has taken over and keeps a copy of the page. @param {Page} page @param {string} url */
async function isKept(page, url) {
  await page.goto(url, { waitUntil: 'load' });
  const has = await page.evaluate(async () => (await navigator.serviceWorker?.getRegistrations() ?? []).length > 0);
  if (!has) return false;
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.goto(url, { waitUntil: 'load' });
  await page.waitForFunction(async () => Boolean(await caches.match(location.pathname)), null, { timeout: SETTLE_MS_MAX });
  return true;
}

/** @param {import('./demo.mjs').Stage} stage @param {'allow' | 'block'} serviceWorkers */
async function open({ browser, base, signIns }, serviceWorkers) {
  const context = await browser.newContext({ viewport: PHONE, deviceScaleFactor: 2, serviceWorkers });
  await context.addInitScript(markFirstAnswer);
  const page = await context.newPage();
  await signIn(page, base, signIns.technician);
  const url = `${await addressOf(page, base, JOB_READY)}/sheet`;
  return { context, page, url, session: await context.newCDPSession(page) };
}

/** @param {Session} session @param {number} rate */
const slow = (session, rate) => session.send('Emulation.setCPUThrottlingRate', { rate });

/** @param {import('./demo.mjs').Stage} stage */
async function fromNetwork(stage) {
  const { context, page, url, session } = await open(stage, 'block');
  await weigh(page, session, url);
  const forget = () => session.send('Network.clearBrowserCache');
  await time('network, 1x', page, url, '', { before: forget });
  await slow(session, 4);
  await time('network, 4x', page, url, '', { before: forget });
  await session.send('Network.enable');
  await session.send('Network.emulateNetworkConditions', SLOW);
  await time('slow network, 4x', page, url, 'paint 5500, wired 5500', { before: forget, runs: SLOW_RUNS });
  await context.close();
}

/** @param {import('./demo.mjs').Stage} stage */
async function offline(stage) {
  const { context, page, url, session } = await open(stage, 'allow');
  if (await isKept(page, url)) {
    await context.setOffline(true);
    await time('offline, 1x', page, url, '');
    await slow(session, 4);
    await time('offline, 4x', page, url, 'paint 800, wired and answers 1000');
  } else {
    console.log('offline: there is no service worker that would keep the page');
  }
  await context.close();
}

await onStage(async (stage) => {
  await fromNetwork(stage);
  await offline(stage);
});
