// When the outbox is sent: again by itself after a fault, without being asked and without hammering.

import assert from 'node:assert/strict';
import { beforeEach, mock, test } from 'node:test';

import { TOMASZ, problem, row, serverFor } from './phone.mjs';
import { append, listRows } from '../../../static/outbox.js';
import { transact } from '../../../static/store.js';

mock.timers.enable({ apis: ['setTimeout'] });
globalThis.BroadcastChannel = undefined;
globalThis.window = new EventTarget();
globalThis.document = Object.assign(new EventTarget(), { visibilityState: 'visible' });
Object.defineProperty(globalThis, 'navigator', { value: {}, configurable: true });
const { onStanding, sendNow, startSending } = await import('../../../static/sender.js');

let standing;
onStanding((now) => { standing = now; });

beforeEach(() => transact(['outbox', 'photos', 'meta'], 'readwrite', (all) => {
  for (const name of ['outbox', 'photos', 'meta']) all.objectStore(name).clear();
}));

/** Until the phone rests: what it has begun is done. */
async function rest() {
  for (let turn = 0; turn < 200; turn += 1) await new Promise(setImmediate);
}

const states = async () => (await listRows()).map(({ state }) => state);

test('after a fault it is tried again by itself, each time later, up to a minute and a quarter', async () => {
  const server = serverFor(TOMASZ);
  server.mood.before = () => problem(503, 'ours', 'Later.');
  await append([row()], []);
  assert.equal(standing, undefined, 'nothing is said to be sent before the phone was looked at');
  await startSending(TOMASZ);
  assert.equal(server.calls.length, 1);
  assert.equal(standing.ending, 'later');
  for (const [tries, pause] of [[1, 2_500], [2, 5_000], [3, 10_000], [4, 20_000], [5, 40_000], [6, 75_000], [7, 75_000]]) {
    mock.timers.tick(pause * 0.59);
    await rest();
    assert.equal(server.calls.length, tries, 'not so soon');
    mock.timers.tick(pause * 0.42);
    await rest();
    assert.equal(server.calls.length, tries + 1);
  }
  server.mood = {};
  window.dispatchEvent(new Event('online'));
  await rest();
  assert.deepEqual(await states(), ['sent']);
  mock.timers.tick(1e6);
  await rest();
  assert.equal(server.calls.length, 9, 'then there is rest');
});

test('a date in Retry-After is kept to', async () => {
  const server = serverFor(TOMASZ);
  server.mood.before = () => new Response('', { status: 503, headers: { 'retry-after': new Date(Date.now() + 60_000).toUTCString() } });
  await append([row()], []);
  await sendNow();
  mock.timers.tick(50_000);
  await rest();
  assert.equal(server.calls.length, 1);
  server.mood = {};
  mock.timers.tick(10_000);
  await rest();
  assert.deepEqual(await states(), ['sent']);
});

test('a phone whose own disk fails once goes on by itself', async () => {
  const server = serverFor(TOMASZ);
  await append([row()], []);
  const real = IDBObjectStore.prototype.getAll;
  IDBObjectStore.prototype.getAll = () => { throw new DOMException('lost', 'NotReadableError'); };
  await assert.rejects(sendNow(), { name: 'NotReadableError' });
  IDBObjectStore.prototype.getAll = real;
  assert.equal(server.calls.length, 0);
  mock.timers.tick(75_000);
  await rest();
  assert.deepEqual(await states(), ['sent']);
});

test('what was kept beside the database is sent as soon as it can be taken in', async () => {
  const server = serverFor(TOMASZ);
  const real = IDBObjectStore.prototype.add;
  IDBObjectStore.prototype.add = () => { throw new DOMException('full', 'QuotaExceededError'); };
  await append([row()], []);
  IDBObjectStore.prototype.add = real;
  await sendNow();
  assert.equal(server.entries.size, 1);
  assert.deepEqual(await states(), ['sent']);
});
