// @ts-check
/**
 * The fault run: two phones with two tabs each record thousands of entries and some dozens of photos over a bad
 * line, to a server that is ended and started again meanwhile. In the end each entry is there once, byte for
 * byte, each photo is there, and the record verifies.
 *
 *     node tests/browser/faults.mjs [seed] [entries] [--withhold]
 *
 * The seed fixes what is recorded and which faults are drawn; what meets what is up to the machine.
 * With `--withhold` one acknowledged entry never reaches the server, and the run has to say so.
 */

import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { chanceOf } from './chance.mjs';
import { compare } from './compare.mjs';
import { CHROMIUM, FLAGS, PROGRAM, addressOf, environment, signInsOf, startDemo, startProgram } from './demo.mjs';
import { signIn } from './journeys/hand.mjs';
import { openPhone } from './rough-phone.mjs';
import { startRoughProxy } from './rough-proxy.mjs';

const [seedGiven, sizeGiven] = process.argv.slice(2).filter((word) => !word.startsWith('--'));
const SEED = Number(seedGiven ?? process.env.FUSEWRIGHT_FAULTS_SEED ?? 1);
const SIZE = Number(sizeGiven ?? process.env.FUSEWRIGHT_FAULTS_ENTRIES ?? 3000);
const WITHHOLDS = process.argv.includes('--withhold');

/** Demo jobs that have a sheet; the first was released long ago, and takes what comes late. */
const JOBS = [5, 6, 7, 8, 3, 4, 1];
/** Below the 2 000 that a job takes, with room for what the demo put there. */
const JOB_ENTRIES_MAX = 1800;
const ENTRIES_PER_PHOTO = 80;
const ENTRIES_PER_RESTART = 450;
/** How long it stays rough after the last entry was made. */
const TAIL_MS = 12_000;
/** In fair weather, without anything getting less. */
const STILL_MS_MAX = 90_000;
const PYTHON = process.env.FUSEWRIGHT_PYTHON ?? 'tests/.venv/bin/python';

/**
 * @typedef {import('./chance.mjs').Chance} Chance
 * @typedef {import('./rough-phone.mjs').Plan} Plan
 * @typedef {Awaited<ReturnType<typeof openPhone>>} Phone
 * @typedef {{ id: string, number: string, sheet: number, steps: string[], instruments: string[] }} Job
 */

const began = Date.now();
/** @param {string} words */
const told = (words) => console.log(`  ${String(Math.round((Date.now() - began) / 1000)).padStart(4)} s  ${words}`);

/** What the program has stored, read past it. @param {string} folder */
const readRecord = (folder) => JSON.parse(
  execFileSync(PYTHON, ['tests/tools/stored.py', folder], { encoding: 'utf8', maxBuffer: 256 * 1024 * 1024 }),
);

/** @param {import('playwright-core').Page} page @param {string} base @param {number} number @returns {Promise<Job>} */
async function readJob(page, base, number) {
  await page.goto(`${await addressOf(page, base, number)}/sheet`);
  return page.evaluate(() => {
    const sheet = /** @type {HTMLElement} */ (document.querySelector('#steps'));
    const all = (/** @type {string} */ selector) => [.../** @type {NodeListOf<HTMLElement>} */ (sheet.querySelectorAll(selector))];
    const steps = all('.step[data-key]').map(({ dataset }) => dataset.key ?? '');
    const options = all('select[name="instrument"] option').map((option) => /** @type {HTMLOptionElement} */ (option).value);
    const { job = '', number: no = '', sheet: edition = '0' } = sheet.dataset;
    return { id: job, number: no, sheet: Number(edition), steps, instruments: [...new Set(options)].filter(Boolean) };
  });
}

/** One thing that a technician records. @param {Chance} chance @param {Job} job @returns {Plan} */
function planEntry(chance, job) {
  const figure = () => `${chance.is(0.1) ? '-' : ''}${chance.between(0, 40)}.${chance.between(0, 99)}`;
  const words = () => chance.pick(['none', 'Sat 3 mm low: re-made', 'µΩ “by hand”, 5 × 9,5', 'back\\slash\nand "line"', 'ünder the seat 🔧', 'x'.repeat(chance.between(1, 900))]);
  const instrument = chance.pick(job.instruments);
  const kind = chance.weighed({ confirm: 5, note: 4, reading: 6, torque: 3, fuse: 1, unable: 1, remark: 2 });
  const more = {
    confirm: {}, note: { text: words() }, reading: { value: figure(), instrument }, torque: { value: figure(), instrument },
    fuse: { rating_a: String(chance.pick([3, 50, 7.5])) }, unable: { reason: words() }, remark: { text: words(), photos: [] },
  }[kind];
  const { id, number, sheet, steps } = job;
  return { job: id, number, sheet, step: chance.pick(steps), supersedes: [], payload: { kind, ...more }, seeds: [] };
}

/** Groups that are kept together, as a result is with the words beside it. @param {Chance} chance @param {Job[]} jobs @param {number} count @param {number} photos */
function planBurst(chance, jobs, count, photos) {
  const job = chance.pick(jobs);
  const plans = Array.from({ length: count }, () => planEntry(chance, job));
  for (const plan of plans.slice(0, photos)) {
    plan.payload = chance.is(0.7) ? { kind: 'photo' } : { kind: 'remark', text: 'as it was found' };
    // Now and then the same picture twice.
    plan.seeds = Array.from({ length: chance.is(0.2) ? 2 : 1 }, () => chance.between(1, chance.is(0.1) ? 3 : 1e6));
  }
  plans.sort(() => chance.next() - 0.5);
  /** @type {Plan[][]} */
  const groups = [];
  for (let at = 0; at < plans.length;) {
    const size = chance.pick([1, 1, 1, 2]);
    groups.push(plans.slice(at, at + size));
    at += size;
  }
  return groups;
}

/** One phone through a rough day. @param {Phone} phone @param {Chance} chance @param {Job[]} jobs @param {number} size @param {Map<string, number>} counts */
async function work(phone, chance, jobs, size, counts) {
  const count = (/** @type {string} */ what) => counts.set(what, (counts.get(what) ?? 0) + 1);
  let photosLeft = Math.max(8, Math.round(size / ENTRIES_PER_PHOTO));
  const burstMax = Math.max(30, Math.round(size / 40));
  while (phone.made.size < size) {
    const count_ = Math.min(size - phone.made.size, chance.between(5, burstMax));
    const photos = Math.min(photosLeft, chance.between(0, Math.ceil((photosLeft * burstMax) / size) + 1), count_);
    photosLeft -= photos;
    const tab = chance.between(0, 1);
    const what = chance.weighed({ goOn: 14, end: 2, sheet: 2, reload: 1 });
    await phone.fill(planBurst(chance, jobs, count_, photos), tab, what === 'end' ? chance.between(20, 1500) : null);
    if (what === 'end') count('tabs ended');
    if (what === 'reload' || what === 'sheet') {
      count('pages opened');
      await phone.open(tab, what === 'sheet' ? `/jobs/${chance.pick(jobs).id}/sheet` : '/jobs');
    }
  }
}

/** The server on its folder and port, again and again. @param {string} folder @param {string} listen @param {string} origin */
async function keepServer(folder, listen, origin) {
  const words = ['serve', '--data', folder, '--listen', listen, '--origin', origin, '--log', 'error'];
  let running = await startProgram(words);
  const server = {
    restarts: 0,
    /** @param {NodeJS.Signals} signal */
    async restart(signal) {
      server.restarts += 1;
      await running.end(signal);
      running = await startProgram(words);
    },
    end: () => running.end('SIGTERM'),
  };
  return server;
}

/** Waits in fair weather until nothing waits on the phones; says what is left where nothing moves. @param {Phone[]} phones */
async function settle(phones) {
  let least = Infinity;
  let since = Date.now();
  for (;;) {
    for (const phone of phones) await phone.signal();
    const held = await Promise.all(phones.map((phone) => phone.held()));
    const waiting = held.reduce((sum, one) => sum + one.waiting, 0);
    if (waiting === 0 || Date.now() - since > STILL_MS_MAX) return held;
    if (waiting < least) [least, since] = [waiting, Date.now()];
    await new Promise((resolve) => { setTimeout(resolve, 500); });
  }
}

/** @param {string} folder  of the demo @param {import('playwright-core').Browser} browser */
async function run(folder, browser) {
  const chance = chanceOf(SEED);
  const demo = await startDemo(folder);
  told('the demo is made');
  await demo.end();
  const before = new Set(readRecord(folder).entries.map((/** @type {{ id: string }} */ { id }) => id));
  const { host: listen, port } = new URL(demo.base);
  const proxy = await startRoughProxy(chanceOf(SEED + 1), Number(port), { withholds: WITHHOLDS });
  const server = await keepServer(folder, listen, proxy.base);
  try {
    const technicians = signInsOf(demo.told, 'technician');
    const jobs = await readJobs(browser, proxy.base, technicians[2]);
    const half = Math.ceil(jobs.length / 2);
    // Each has jobs of their own, and one that both work on.
    const theirs = [jobs.slice(0, half), jobs.slice(half - 1)];
    /** @type {Phone[]} */
    const phones = [];
    for (const at of [0, 1]) phones.push(await openPhone(browser, proxy.base, technicians[at], chanceOf(SEED + 10 + at)));
    told('two phones are signed in');
    const counts = await workAll(phones, theirs, chance, proxy, server);
    told('the weather is fair again');
    const held = await settle(phones);
    told('the phones are done');
    for (const phone of phones) await phone.becomesReady();
    await Promise.all(phones.map(({ context }) => context.close()));
    await proxy.close();
    await server.end();
    return report(folder, phones, held, counts, server.restarts, before);
  } finally {
    await proxy.close();
    await server.end();
  }
}

/** @param {import('playwright-core').Browser} browser @param {string} base @param {import('./demo.mjs').SignIn} who */
async function readJobs(browser, base, who) {
  const context = await browser.newContext({ serviceWorkers: 'block' });
  const page = await context.newPage();
  await signIn(page, base, who);
  const wanted = Math.max(4, Math.ceil(SIZE / JOB_ENTRIES_MAX) + 1);
  assert.ok(SIZE <= (JOBS.length - 2) * JOB_ENTRIES_MAX, 'the jobs of the demo take no more entries');
  const jobs = [];
  for (const number of JOBS.slice(0, wanted)) jobs.push(await readJob(page, base, number));
  await context.close();
  // A job that is under review offers none.
  const instruments = [...new Set(jobs.flatMap((job) => job.instruments))];
  assert.ok(instruments.length > 0, 'there is something to measure with');
  return jobs.map((job) => ({ ...job, instruments }));
}

/**
 * Rough weather, from the first entry until some time after the last.
 * @param {Phone[]} phones @param {Job[][]} theirs @param {Chance} chance
 * @param {Awaited<ReturnType<typeof startRoughProxy>>} proxy @param {Awaited<ReturnType<typeof keepServer>>} server
 */
async function workAll(phones, theirs, chance, { weather }, server) {
  weather.isRough = true;
  const madeNow = () => phones.reduce((sum, { made }) => sum + made.size, 0);
  let isWorking = true;
  const restarting = (async () => {
    for (let next = ENTRIES_PER_RESTART / 2; isWorking;) {
      if (madeNow() >= next) {
        await server.restart(chance.pick(['SIGTERM', 'SIGKILL']));
        next += ENTRIES_PER_RESTART;
      }
      await new Promise((resolve) => { setTimeout(resolve, 100); });
    }
  })();
  const working = phones.map((phone, at) => work(phone, chanceOf(SEED + 20 + at), theirs[at], SIZE / phones.length, weather.counts));
  const ended = await Promise.allSettled(working);
  told('everything is recorded');
  isWorking = false;
  await restarting;
  for (const one of ended) if (one.status === 'rejected') throw one.reason;
  for (const until = Date.now() + TAIL_MS; Date.now() < until;) {
    for (const phone of phones) await phone.signal();
    await new Promise((resolve) => { setTimeout(resolve, 700); });
  }
  weather.isRough = false;
  return weather.counts;
}

/**
 * @param {string} folder @param {Phone[]} phones @param {import('./rough-phone.mjs').Held[]} held
 * @param {Map<string, number>} counts @param {number} restarts @param {Set<string>} before
 */
function report(folder, phones, held, counts, restarts, before) {
  const made = phones.flatMap((phone) => [...phone.made.values()]);
  const record = readRecord(folder);
  const found = compare(made, record, before);
  const faults = [...counts].sort(([, one], [, other]) => other - one);
  const sum = faults.reduce((all, [, count]) => all + count, 0);
  const photos = new Set(made.flatMap((one) => one.photos)).size;
  console.log(`faults by kind: ${faults.map(([kind, count]) => `${kind} ${count}`).join(', ')}`);
  console.log(`${made.length} entries, ${photos} photos, ${sum} faults, ${restarts} restarts: `
    + `${found.lost.length} lost, ${found.doubled.length} doubled`);
  const verified = execFileSync(PROGRAM, ['verify', '--data', folder], { encoding: 'utf8', env: environment });
  console.log(verified.trim());
  assert.match(verified, /Nothing was changed\./);
  for (const one of held) assert.deepEqual(one, { waiting: 0, refused: 0, photos: 0, told: [] }, 'nothing is left on a phone');
  for (const [what, ids] of Object.entries(found)) assert.deepEqual(ids, [], what);
  // The comparison sees what it has to see: without one of its rows the record is not whole.
  const [gone] = made.filter(({ isKept }) => isKept);
  const short = { ...record, entries: record.entries.filter((/** @type {{ id: string }} */ { id }) => id !== gone.id) };
  assert.deepEqual(compare(made, short, before).lost, [gone.id]);
}

assert.ok(Number.isSafeInteger(SEED) && Number.isSafeInteger(SIZE) && SIZE > 0, 'seed and number of entries are whole numbers');
console.log(`fault run: seed ${SEED}, ${SIZE} entries${WITHHOLDS ? ', one of them withheld' : ''}`);
const folder = mkdtempSync(join(tmpdir(), 'fusewright-faults-'));
const browser = await chromium.launch({ executablePath: CHROMIUM, args: FLAGS });
try {
  await run(join(folder, 'data'), browser);
  console.log(`fault run passed in ${Math.round((Date.now() - began) / 1000)} s`);
} catch (why) {
  console.log(`FAIL  fault run, seed ${SEED}, ${SIZE} entries\n${why instanceof Error ? why.stack : why}`);
  process.exitCode = 1;
} finally {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
}
