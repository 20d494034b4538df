// Sending: at least once by the phone, once in effect at the server, whatever happens in between.

import assert from 'node:assert/strict';
import { beforeEach, test } from 'node:test';

import { INES, TOMASZ, problem, row, serverFor } from './phone.mjs';
import { append, listRows, photoBytes, settle } from '../../../static/outbox.js';
import { waitAsked } from '../../../static/ask.js';
import { transact } from '../../../static/store.js';
import { sendAll } from '../../../static/sync.js';

beforeEach(() => transact(['outbox', 'photos', 'meta'], 'readwrite', (all) => {
  for (const name of ['outbox', 'photos', 'meta']) all.objectStore(name).clear();
}));

const many = (count, given) => Array.from({ length: count }, () => row(given));
const states = async () => (await listRows()).map(({ state }) => state);
const statesOf = async (wanted) => (await states()).filter((state) => state === wanted).length;

test('60 rows go in three batches and take the verdict of the server', async () => {
  const server = serverFor(TOMASZ);
  await append(many(60), []);
  assert.deepEqual(await sendAll(TOMASZ), { ending: 'done', waitMs: 0 });
  assert.deepEqual(server.calls.map(({ count }) => count), [25, 25, 10]);
  assert.equal(server.entries.size, 60);
  const rows = await listRows();
  assert.ok(rows.every(({ state, seq, verdict }, at) => state === 'sent' && seq === at && verdict.sentence === 'By the server.'));
});

test('a lost answer, a torn one and a welcome page change nothing: the same rows are sent again', async () => {
  const server = serverFor(TOMASZ);
  await append(many(10), []);
  const moods = [
    () => { throw new TypeError('connection reset'); },
    () => new Response('{"answers": [', { status: 200 }),
    () => new Response('<h1>Welcome to our hall</h1>', { status: 200 }),
    () => new Response('busy', { status: 502 }),
    () => Response.json({ answers: [] }),
    () => new Response('<h1>No such page</h1>', { status: 404 }),
  ];
  for (const mood of moods) {
    server.mood.after = mood;
    assert.equal((await sendAll(TOMASZ)).ending, 'later');
    assert.equal(await statesOf('waiting'), 10);
  }
  server.mood = {};
  assert.equal((await sendAll(TOMASZ)).ending, 'done');
  assert.equal(server.entries.size, 10);
  assert.equal(await statesOf('sent'), 10);
});

test('an answer in words that this phone does not know is not final', async () => {
  const server = serverFor(TOMASZ);
  await append(many(2), []);
  server.mood.after = ({ address }) => (address === '/sync' ? Response.json({ answers: [{ state: 'later' }, {}] }) : undefined);
  assert.equal((await sendAll(TOMASZ)).ending, 'later');
  assert.equal(await statesOf('waiting'), 2);
});

test('a server that asks for time gets it', async () => {
  const server = serverFor(TOMASZ);
  await append(many(1), []);
  server.mood.before = () => problem(429, 'too-many', 'Wait.', {});
  assert.equal((await sendAll(TOMASZ)).ending, 'later');
  server.mood.before = () => new Response('', { status: 503, headers: { 'retry-after': '7' } });
  assert.deepEqual(await sendAll(TOMASZ), { ending: 'later', waitMs: 7000 });
});

test('a phone too full to write down an answer goes on sending, and settles later', async () => {
  const server = serverFor(TOMASZ);
  await append(many(30), []);
  const real = IDBObjectStore.prototype.put;
  IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); };
  try {
    assert.equal((await sendAll(TOMASZ)).ending, 'later');
  } finally {
    IDBObjectStore.prototype.put = real;
  }
  assert.equal(server.entries.size, 30);
  assert.equal((await sendAll(TOMASZ)).ending, 'done');
  assert.equal(server.entries.size, 30, 'each once');
});

test('how long to wait is said in seconds or as a date, and nobody is believed for ever', () => {
  const now = Date.parse('2026-11-27T10:00:00Z');
  assert.equal(waitAsked('7', now), 7_000);
  assert.equal(waitAsked('Fri, 27 Nov 2026 10:00:09 GMT', now), 9_000);
  assert.equal(waitAsked('600', now), 600_000);
  assert.equal(waitAsked('601', now), 600_000);
  for (const none of ['', 'soon', '-5', '0', 'Fri, 27 Nov 2026 09:59:59 GMT']) assert.equal(waitAsked(none, now), 0);
});

test('whoever sends elsewhere, asks for another sign-in or has a clash of its own is not the server', async () => {
  const server = serverFor(TOMASZ);
  await append(many(2), []);
  const moods = [
    () => ({ type: 'opaqueredirect', status: 0, headers: new Headers() }),
    () => new Response('<h1>Who are you?</h1>', { status: 401 }),
    () => problem(401, 'hall', 'Who are you?'),
    () => new Response('clash', { status: 409 }),
    () => problem(409, 'hall', 'Clash.'),
    () => Response.json(null),
    () => Response.json({ answers: [null, null] }),
    () => Response.json({ answers: [{ state: 'put off' }, { state: 'sent' }] }),
  ];
  for (const mood of moods) {
    server.mood.before = mood;
    assert.equal((await sendAll(TOMASZ)).ending, 'later');
    assert.equal(await statesOf('waiting'), 2);
  }
});

test('an expired session keeps everything and asks for the sign-in', async () => {
  const server = serverFor('');
  await append(many(3), []);
  assert.equal((await sendAll(TOMASZ)).ending, 'sign-in');
  assert.equal(server.calls.length, 1);
  assert.equal(await statesOf('waiting'), 3);
});

test('what one person recorded is not sent in the session of another', async () => {
  const server = serverFor(INES);
  await append(many(2), []);
  await append(many(3, { person: INES }), []);
  assert.equal((await sendAll(TOMASZ)).ending, 'other-person');
  assert.equal(server.entries.size, 0);
  assert.equal((await sendAll(INES)).ending, 'done');
  assert.equal(server.entries.size, 3);
  assert.equal(await statesOf('waiting'), 2);
});

test('an entry that the server chokes on is found by halving; the others go through', async () => {
  const server = serverFor(TOMASZ);
  const rows = many(40);
  server.chokesOn.add(rows[17].id);
  await append(rows, []);
  assert.equal((await sendAll(TOMASZ)).ending, 'done');
  assert.equal(server.entries.size, 39);
  const refused = (await listRows()).filter(({ state }) => state === 'refused');
  assert.deepEqual(refused.map(({ id, reason }) => [id, reason]), [[rows[17].id, 'This cannot be read.']]);
});

test('a refused row says why, stays, and keeps nobody out', async () => {
  const server = serverFor(TOMASZ);
  const rows = many(5);
  server.refuses.add(rows[2].id);
  await append(rows, []);
  assert.equal((await sendAll(TOMASZ)).ending, 'done');
  assert.equal(server.entries.size, 4);
  assert.deepEqual(await states(), ['sent', 'sent', 'refused', 'sent', 'sent']);
  assert.equal((await sendAll(TOMASZ)).ending, 'done');
  assert.equal(server.calls.length, 1, 'it is not sent again');
});

test('a photo goes in pieces before its row, goes on where it was cut, and leaves the phone', async () => {
  const server = serverFor(TOMASZ);
  const sha256 = 'ab'.repeat(32);
  const photo = row({ kind: 'photo', photos: [sha256] });
  await append([photo, row()], [{ sha256, jpeg: new Uint8Array(200_000).buffer }]);
  let pieces = 0;
  server.mood.after = ({ method, address }) => {
    if (method !== 'POST' || address === '/sync') return undefined;
    pieces += 1;
    if (pieces === 2) throw new TypeError('connection reset');
    return undefined;
  };
  assert.equal((await sendAll(TOMASZ)).ending, 'later');
  assert.equal(server.entries.has(photo.id), false, 'the row waits for its photo');
  assert.equal(server.entries.size, 1, 'the row without one went first');
  server.mood = {};
  assert.equal((await sendAll(TOMASZ)).ending, 'done');
  const sent = server.calls.filter(({ method, address }) => method === 'POST' && address !== '/sync');
  assert.equal(sent.length, 4, '64 KiB pieces of 200 000 bytes, none twice');
  assert.ok(server.entries.has(photo.id));
  assert.equal(await photoBytes(sha256), undefined);
});

test('a wrong offset is put right by what the server has', async () => {
  const server = serverFor(TOMASZ);
  const sha256 = 'cd'.repeat(32);
  await append([row({ kind: 'photo', photos: [sha256] })], [{ sha256, jpeg: new Uint8Array(150_000).buffer }]);
  // Another tab has sent a piece between the question and the answer.
  server.mood.after = ({ method }) => {
    if (method === 'GET') server.photos.set(sha256, { received: 65_536, complete: false });
    return undefined;
  };
  assert.equal((await sendAll(TOMASZ)).ending, 'done');
  assert.equal(server.photos.get(sha256).received, 150_000);
});

test('a photo goes out under nobody else, and waits for whoever took it', async () => {
  const server = serverFor(INES);
  const sha256 = 'ab'.repeat(32);
  await append([row({ kind: 'photo', photos: [sha256] })], [{ sha256, jpeg: new Uint8Array(10).buffer }]);
  assert.equal((await sendAll(TOMASZ)).ending, 'other-person');
  assert.equal(server.photos.size, 0);
  assert.equal((await photoBytes(sha256)).byteLength, 10);
  server.person = TOMASZ;
  assert.equal((await sendAll(TOMASZ)).ending, 'done');
});

test('a photo that the server will never take refuses its row with the reason', async () => {
  const server = serverFor(TOMASZ);
  const sha256 = 'ef'.repeat(32);
  await append([row({ kind: 'photo', photos: [sha256] }), row()], [{ sha256, jpeg: new Uint8Array(10).buffer }]);
  server.mood.before = ({ method, address }) => (
    method === 'POST' && address !== '/sync' ? problem(422, 'rule', 'The photo is damaged. Take it again.') : undefined);
  assert.equal((await sendAll(TOMASZ)).ending, 'done');
  assert.deepEqual((await listRows()).map(({ state, reason }) => [state, reason]), [
    ['refused', 'The photo is damaged. Take it again.'], ['sent', ''],
  ]);
});

test('a photo that somebody in between says is there stays on the phone until its row is recorded', async () => {
  const server = serverFor(TOMASZ);
  const sha256 = '34'.repeat(32);
  const photo = row({ kind: 'photo', photos: [sha256] });
  await append([photo], [{ sha256, jpeg: new Uint8Array(10).buffer }]);
  server.mood.before = ({ method }) => (method === 'GET' ? Response.json({ received: 10, complete: true }) : undefined);
  assert.equal((await sendAll(TOMASZ)).ending, 'later');
  assert.equal((await listRows())[0].reason, 'Its photo has not arrived.');
  assert.equal((await photoBytes(sha256)).byteLength, 10);
  server.mood.before = ({ method }) => (method === 'GET' ? Response.json({}) : undefined);
  assert.equal((await sendAll(TOMASZ)).ending, 'later', 'what says nothing of the photo is no answer');
  assert.equal(await statesOf('refused'), 0);
  server.mood = {};
  assert.equal((await sendAll(TOMASZ)).ending, 'done');
  assert.ok(server.entries.has(photo.id));
  assert.equal(await photoBytes(sha256), undefined);
});

test('a submit is sent alone and last, when nothing of its job waits', async () => {
  const server = serverFor(TOMASZ);
  const sha256 = '12'.repeat(32);
  const [submit, photo, tick] = [row({ kind: 'submit' }), row({ kind: 'photo', photos: [sha256] }), row()];
  await append([photo, tick, submit], [{ sha256, jpeg: new Uint8Array(10).buffer }]);
  server.mood.before = ({ address }) => (address === '/sync' ? undefined : new Response('', { status: 503 }));
  assert.equal((await sendAll(TOMASZ)).ending, 'later');
  assert.equal(server.entries.has(submit.id), false);
  server.mood = {};
  assert.equal((await sendAll(TOMASZ)).ending, 'done');
  assert.deepEqual([...server.entries.keys()], [tick.id, photo.id, submit.id]);
});

test('rows of two jobs never share a batch', async () => {
  const server = serverFor(TOMASZ);
  const other = '00000000-0000-7000-8000-00000000000b';
  await append([row(), row({ job: other }), row(), row({ job: other })], []);
  assert.equal((await sendAll(TOMASZ)).ending, 'done');
  assert.equal(server.entries.size, 4);
  assert.deepEqual(server.calls.map(({ count }) => count), [2, 2]);
});

test('what was put away is not sent', async () => {
  const server = serverFor(TOMASZ);
  const one = row();
  await append([one], []);
  await settle([{ id: one.id, state: 'aside', reason: 'no' }]);
  assert.equal((await sendAll(TOMASZ)).ending, 'done');
  assert.equal(server.calls.length, 0);
});
