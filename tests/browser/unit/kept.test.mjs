// Pages kept for a place without signal: whole, each person's apart, and gone with whoever signs out.

import assert from 'node:assert/strict';
import { beforeEach, test } from 'node:test';

import { INES, JOB, TOMASZ, problem } from './phone.mjs';
import { readyJobs, takeAlong } from '../../../static/along.js';
import { isPartOfList, keepPage, keptPage, leave } from '../../../static/kept.js';
import { readMeta, transact, writeMeta } from '../../../static/store.js';
import { checkPin, learnPin, unlock } from '../../../static/switch.js';

const ORIGIN = 'https://jobs.example';
const BUILD = '0123abcd';
const DIGEST = 'a'.repeat(64);
const SHEET = `/jobs/${JOB}/sheet`;

const plainOf = (request) => (typeof request === 'string' ? request : new URL(request.url).pathname);

/** One cache of the browser: what it adds it asks the server for. */
function cache() {
  const kept = new Map();
  return {
    kept,
    match: async (request) => kept.get(plainOf(request))?.clone(),
    put: async (request, answer) => { kept.set(plainOf(request), answer); },
    delete: async (request) => kept.delete(plainOf(request)),
    keys: async () => [...kept.keys()],
    async add(request) {
      const answer = await fetch(request);
      if (!answer.ok) throw new TypeError('not found');
      kept.set(plainOf(request), answer);
    },
    async addAll(requests) {
      for (const request of requests) await this.add(request);
    },
  };
}

/** The phone's caches by name. */
function allCaches() {
  const all = new Map();
  return {
    all,
    open: async (name) => all.get(name) ?? all.set(name, cache()).get(name),
    match: async (request, { cacheName }) => all.get(cacheName)?.match(request),
    delete: async (name) => all.delete(name),
    keys: async () => [...all.keys()],
  };
}

/** The browser's locks of one name: shared ones together, an exclusive one alone, in their order. */
function locks() {
  let last = Promise.resolve();
  /** @type {Promise<unknown>[]} */
  let shared = [];
  return {
    request(_name, { mode }, work) {
      const done = (mode === 'shared' ? last : Promise.all([last, ...shared])).then(work);
      const over = done.catch(() => {});
      if (mode === 'shared') shared.push(over);
      else [last, shared] = [over, []];
      return done;
    },
  };
}

/** Addresses are those of one server, as in a page. */
class PageRequest {
  constructor(path) { this.url = `${ORIGIN}${path}`; }
}

/** @param {string} inside @param {string} person */
const page = (inside, person) => new Response(
  `<link rel="stylesheet" href="/a/${BUILD}/css/app.css"><p>${inside}</p>`,
  { headers: { 'x-made-for': person } },
);

/** A server with one set of files, photos, and pages for whoever is signed in. */
function server({ signedIn = TOMASZ, jobs = [] } = {}) {
  globalThis.fetch = async (request) => {
    const path = plainOf(request);
    if (path === `/a/${BUILD}/list.json`) return Response.json([`/a/${BUILD}/css/app.css`]);
    if (path.startsWith(`/a/${BUILD}/`) || path.startsWith('/photos/')) return new Response('bytes');
    if (path === '/along') return Response.json({ person: signedIn, build: BUILD, list: '/jobs', jobs });
    if (path.startsWith('/jobs')) return page('', signedIn);
    return new Response('No such page', { status: 404 });
  };
}

/** The worker's listeners by event; it stands in a browser of its own. */
const worker = {};
globalThis.self = { location: { origin: ORIGIN }, addEventListener: (name, listen) => { worker[name] = listen; } };
await import('../../../static/worker.js');

/** What the worker shows for an address that somebody goes to. */
function shown(path, referrer = '') {
  let answer;
  const request = { method: 'GET', mode: 'navigate', url: ORIGIN + path, referrer };
  const later = [];
  worker.fetch({ request, respondWith: (given) => { answer = given; }, waitUntil: (work) => later.push(work) });
  return answer.finally(() => Promise.allSettled(later));
}

const noSignal = () => { globalThis.fetch = () => Promise.reject(new TypeError('no signal')); };

beforeEach(async () => {
  globalThis.caches = allCaches();
  Object.defineProperty(globalThis, 'navigator', { value: { locks: locks() }, configurable: true });
  globalThis.Request = PageRequest;
  await transact(['meta'], 'readwrite', (all) => { all.objectStore('meta').clear(); });
  await writeMeta('person', TOMASZ);
  server();
});

test('an address that somebody wrote into a note is no file that the page needs', async () => {
  const note = 'See href=&quot;/a/deadbeef/x.css&quot; or /a/deadbeef/x.css';
  assert.ok(await keepPage(SHEET, page(note, TOMASZ)) > 0);
  assert.ok(await keptPage(SHEET));
  assert.deepEqual((await caches.keys()).filter((name) => name.startsWith('shell-')), [`shell-${BUILD}`]);
});

test('each sees the pages of nobody else, and whoever signs out leaves neither pages nor pictures', async () => {
  await keepPage(SHEET, page(`<img src="/photos/${DIGEST}/thumb">`, TOMASZ));
  await keepPage('/jobs', page('', INES));
  assert.ok(await keptPage(SHEET));
  assert.equal(await keptPage('/jobs'), undefined);
  const names = (await caches.keys()).filter((name) => name.includes(TOMASZ));
  assert.deepEqual(names, [`thumbs-${TOMASZ}`, `pages-${TOMASZ}`]);
  await leave(TOMASZ);
  assert.deepEqual((await caches.keys()).filter((name) => name.includes(TOMASZ)), []);
  assert.equal(await readMeta('person'), '');
  assert.equal((await caches.keys()).some((name) => name.includes(INES)), true);
});

test('a page that comes while its person signs out is not kept', async () => {
  const fetched = globalThis.fetch;
  globalThis.fetch = async (request) => {
    await leave(TOMASZ);
    return fetched(request);
  };
  assert.equal(await keepPage(SHEET, page('', TOMASZ)), 0);
  assert.deepEqual((await caches.keys()).filter((name) => name.includes(TOMASZ)), []);
});

test('a page that is put away while its person signs out is gone too, and what they look for makes no new place', async () => {
  const open = caches.open;
  let leaving;
  caches.open = async (name) => {
    if (name.startsWith('pages-')) leaving ??= leave(TOMASZ);
    // Whoever signs out has all the time in between.
    for (let turn = 0; turn < 50; turn += 1) await new Promise(setImmediate);
    return open(name);
  };
  await keepPage(SHEET, page(`<img src="/photos/${DIGEST}/thumb">`, TOMASZ));
  await leaving;
  assert.equal(await keptPage(SHEET), undefined);
  await writeMeta('person', TOMASZ);
  assert.equal(await keptPage(SHEET), undefined);
  assert.deepEqual((await caches.keys()).filter((name) => name.includes(TOMASZ)), []);
});

test('a searched list is not the list', () => {
  const at = (path) => new URL(path, ORIGIN);
  assert.equal(isPartOfList(at('/jobs?find=van')), true);
  assert.equal(isPartOfList(at('/jobs')), false);
  assert.equal(isPartOfList(at(`${SHEET}?open=torque.1`)), false);
});

const job = (id) => ({ id, number: 8, vehicle: 'Van', count: 3, pages: [`/jobs/${id}`, `/jobs/${id}/sheet`] });

test('jobs of whoever else is signed in are not taken along', async () => {
  server({ signedIn: INES, jobs: [job(JOB)] });
  await assert.rejects(takeAlong(TOMASZ, false, () => {}), /somebody else/);
  assert.deepEqual(await readyJobs(TOMASZ), []);
});

test('a job that is no longer theirs leaves the phone', async () => {
  server({ jobs: [job(JOB)] });
  await takeAlong(TOMASZ, false, () => {});
  assert.ok(await keptPage(SHEET));
  server({ jobs: [] });
  await takeAlong(TOMASZ, false, () => {});
  assert.equal(await keptPage(SHEET), undefined);
  assert.ok(await keptPage('/jobs'));
});

test('five wrong PINs without signal end the tries, also when they are typed at once', async () => {
  await learnPin(INES, 'Ines', '123 456');
  const wrong = await Promise.all(Array.from({ length: 8 }, () => checkPin(INES, '000000')));
  assert.equal(wrong.filter(({ fault }) => fault.startsWith('This PIN is not right.')).length, 5);
  assert.match((await checkPin(INES, '123456')).fault, /asks the server next time/);
  await learnPin(INES, 'Ines', '123456');
  assert.deepEqual(await checkPin(INES, '123 456'), { name: 'Ines' });
  assert.equal((await readMeta(`pin:${INES}`)).tries, 0);
});

test('a PIN counts for its own person, and only where they were seen before', async () => {
  await learnPin(INES, 'Ines', '123456');
  await writeMeta(`pin:${TOMASZ}`, { ...(await readMeta(`pin:${INES}`)), name: 'Tomasz' });
  assert.match((await checkPin(TOMASZ, '123456')).fault, /not right/);
  assert.match((await checkPin(JOB, '123456')).fault, /no signal/);
});

test('without signal the copy is shown, but to nobody who comes from the sign-in', async () => {
  await keepPage('/jobs', page('kept', TOMASZ));
  noSignal();
  assert.match(await (await shown('/jobs', `${ORIGIN}/jobs/1`)).text(), /kept/);
  assert.equal((await shown('/jobs', `${ORIGIN}/sign-in?next=/jobs`)).type, 'error');
});

test('a search is answered by the server, takes not the place of the list, and without signal is the list', async () => {
  await keepPage('/jobs', page('kept', TOMASZ));
  globalThis.fetch = async () => page('found', TOMASZ);
  assert.match(await (await shown('/jobs?find=van')).text(), /found/);
  noSignal();
  assert.match(await (await shown('/jobs?find=van')).text(), /kept/);
  assert.match(await (await shown('/jobs')).text(), /kept/);
});

test('a PIN that the server refuses does not go on counting without signal, a mistyped one takes nothing away', async () => {
  await learnPin(INES, 'Ines', '123456');
  globalThis.fetch = async () => problem(422, 'rule', 'Name and PIN do not belong together.');
  assert.match((await unlock(INES, '123457')).fault, /do not belong/);
  noSignal();
  assert.deepEqual(await unlock(INES, '123456'), { name: 'Ines', isOffline: true });
  globalThis.fetch = async () => problem(422, 'rule', 'Name and PIN do not belong together.');
  assert.match((await unlock(INES, '123456')).fault, /do not belong/);
  noSignal();
  assert.match((await unlock(INES, '123456')).fault, /no signal/);
});
