// Sending over a bad line, 300 short runs by chance: nothing is lost, nothing is twice, and each run ends.
// A run is had again by its seed: `chanceOf(SEED_FIRST + run)`.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { chanceOf } from '../chance.mjs';
import { INES, TOMASZ, problem, row, serverFor } from './phone.mjs';
import { append, listRows, photoBytes } from '../../../static/outbox.js';
import { transact } from '../../../static/store.js';
import { sendAll } from '../../../static/sync.js';

const RUNS = 300;
const SEED_FIRST = 4_000;
const CALLS_MAX = 900;
const WAIT_MS_MAX = 600_000;
const ENDINGS = ['done', 'later', 'sign-in', 'other-person'];
const JOBS = ['a', 'b', 'c'].map((digit) => `00000000-0000-7000-8000-00000000000${digit}`);

const reset = () => { throw new TypeError('connection reset'); };
const html = (status, headers = {}) => new Response('<h1>Welcome to our hall</h1>', { status, headers });
const asked = (words) => new Response('', { status: 503, headers: { 'retry-after': words } });
/** What comes instead of the server's answer. */
const MOODS = {
  reset,
  welcome: () => html(200),
  elsewhere: () => Object.assign(Object.create(null), { type: 'opaqueredirect', status: 0, headers: new Headers() }),
  gateway: () => html(502),
  hallSignIn: () => html(401),
  noPage: () => html(404),
  clash: () => html(409),
  tooMuch: () => html(413),
  unreadable: () => html(422),
  busy: () => problem(429, 'too-many', 'Slowly.'),
  seconds: () => asked('7'),
  date: () => asked(new Date(Date.now() + 5_000).toUTCString()),
  nonsense: () => asked('soon'),
  ages: () => asked('99999999999999'),
  past: () => asked('-5'),
  nothing: () => Response.json(null),
  number: () => Response.json(7),
  empty: () => Response.json({}),
  others: () => Response.json({ received: 'all', complete: 'yes', answers: 'ok' }),
};

/** @param {Response} answer */
async function torn(answer) {
  const text = await answer.text();
  return new Response(text.slice(0, text.length >> 1), { status: answer.status });
}

/** Answers of the right length that say something else. @param {Response} answer */
async function strange(answer) {
  const found = await answer.json();
  return Response.json({ ...found, answers: found.answers?.map(() => ({ state: 'put off' })) });
}

/** Rough weather between phone and server, and what the phone is told then. */
function roughen(server, chance, share) {
  server.mood.before = () => {
    if (server.calls.length > CALLS_MAX) throw new Error('this does not end');
    return chance.is(share) ? MOODS[chance.pick(Object.keys(MOODS))]() : undefined;
  };
  server.mood.after = async (call, answer) => {
    if (!chance.is(share)) return undefined;
    const spoil = chance.weighed({ lost: 4, torn: 3, moody: 2, strange: 1 });
    if (spoil === 'lost') return reset();
    if (spoil === 'torn') return torn(answer);
    if (spoil === 'strange' && answer.status === 200 && call.address === '/sync') return strange(answer);
    return MOODS[chance.pick(Object.keys(MOODS))]();
  };
}

/** What the line does twice arrives twice, at once or much later. */
function double(server, chance) {
  const once = server.fetch;
  const late = [];
  globalThis.fetch = async (address, request) => {
    if (late.length > 0 && chance.is(0.3)) await late.shift()().catch(() => {});
    const isDoubled = chance.is(0.15);
    if (isDoubled && chance.is(0.5)) await once(address, request).catch(() => {});
    else if (isDoubled) late.push(() => once(address, request));
    return once(address, request);
  };
}

/** Some rows, among them poison and photos, and what each has to come to. */
async function fill(chance, server, made) {
  for (let left = chance.between(1, 40); left > 0; left -= 1) {
    const photos = [];
    while (chance.is(0.12) && photos.length < 3) {
      // A photo is known by its digest: two rows may name the same.
      const seed = chance.between(1, 40);
      photos.push({ sha256: seed.toString(16).padStart(64, '0'), jpeg: new Uint8Array(1 + seed * 4_999).fill(seed).buffer });
    }
    const names = [...new Set(photos.map(({ sha256 }) => sha256))];
    const kind = names.length > 0 ? 'photo' : chance.weighed({ confirm: 20, submit: 1 });
    const one = row({ kind, photos: names, job: chance.pick(JOBS), person: chance.is(0.8) ? TOMASZ : INES });
    if (chance.is(0.04)) server.refuses.add(one.id);
    else if (chance.is(0.04)) server.chokesOn.add(one.id);
    else if (chance.is(0.1)) names.slice(0, 1).forEach((name) => server.photos.has(name) || server.spoils.add(name));
    await append([one], photos);
    made.push(one);
  }
}

const clear = () => transact(['outbox', 'photos', 'meta'], 'readwrite', (all) => {
  for (const name of ['outbox', 'photos', 'meta']) all.objectStore(name).clear();
});

/** @param {string} person */
async function sendOnce(person, server) {
  server.calls.length = 0;
  const { ending, waitMs } = await sendAll(person);
  assert.ok(ENDINGS.includes(ending), ending);
  assert.ok(waitMs >= 0 && waitMs <= WAIT_MS_MAX, `${waitMs} ms is no time to wait`);
  return ending;
}

/** A day on the phone: saved and sent by turns, signed out, somebody else, and in the end a good line. */
async function day(chance) {
  await clear();
  const server = serverFor(TOMASZ);
  double(server, chance);
  roughen(server, chance, chance.pick([0.05, 0.2, 0.5]));
  const made = [];
  for (let tries = chance.between(2, 6); tries > 0; tries -= 1) {
    if (chance.is(0.7)) await fill(chance, server, made);
    server.person = chance.weighed({ [TOMASZ]: 7, [INES]: 2, '': 2 });
    await sendOnce(chance.is(0.8) ? TOMASZ : INES, server);
  }
  server.mood = {};
  for (const person of [TOMASZ, INES]) {
    server.person = person;
    // Each submit of a job takes a run of its own, and is not the last word: later rows may follow.
    const submits = made.filter(({ kind }) => kind === 'submit').length;
    const endings = [];
    for (let tries = 0; tries < submits + 2 && endings.at(-1) !== 'done'; tries += 1) endings.push(await sendOnce(person, server));
    assert.equal(endings.at(-1), 'done', endings.join());
  }
  return { server, made };
}

/** @param {Awaited<ReturnType<typeof day>>} day */
async function check({ server, made }) {
  const rows = new Map((await listRows()).map((one) => [one.id, one]));
  const isPoison = ({ id, photos }) => server.refuses.has(id) || server.chokesOn.has(id)
    || photos.some((name) => server.spoils.has(name) && !server.photos.get(name)?.complete);
  for (const one of made) {
    const { state, reason } = rows.get(one.id);
    if (isPoison(one)) {
      assert.equal(state, 'refused');
      assert.notEqual(reason, '', 'it says why');
      assert.equal(server.entries.has(one.id), false);
      continue;
    }
    assert.equal(state, 'sent', reason);
    assert.equal(server.entries.get(one.id).body, one.body);
    for (const name of one.photos) {
      const { bytes, complete } = server.photos.get(name);
      assert.ok(complete);
      const seed = Number.parseInt(name, 16);
      assert.ok(Buffer.concat(bytes).equals(Buffer.alloc(1 + seed * 4_999, seed)), 'the photo is whole, once');
    }
  }
  const poisoned = made.filter(isPoison);
  assert.equal(server.entries.size, made.length - poisoned.length);
  const mayStay = new Set(poisoned.flatMap(({ photos }) => photos));
  for (const name of made.flatMap(({ photos }) => photos)) {
    if (!mayStay.has(name)) assert.equal(await photoBytes(name), undefined, 'photos that are sent make room');
  }
}

test(`${RUNS} short days on a bad line: nothing lost, nothing twice, and each run ends`, async () => {
  for (let run = 0; run < RUNS; run += 1) {
    try {
      await check(await day(chanceOf(SEED_FIRST + run)));
    } catch (why) {
      throw new Error(`seed ${SEED_FIRST + run}`, { cause: why });
    }
  }
});
