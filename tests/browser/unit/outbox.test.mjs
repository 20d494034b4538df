// What was recorded on the phone: kept together, forgotten only when it is on the screen, never lost.

import assert from 'node:assert/strict';
import { beforeEach, test } from 'node:test';

import { INES, JOB, TOMASZ, row, smallStore } from './phone.mjs';
import {
  append, dropPhoto, forgetShown, listOfJob, listRows, photoBytes, settle, takeSpilled,
} from '../../../static/outbox.js';
import { outboxFile } from '../../../static/outbox-file.js';
import { openStore, readMeta, transact, writeMeta } from '../../../static/store.js';

beforeEach(async () => {
  globalThis.localStorage = smallStore();
  await transact(['outbox', 'photos', 'meta'], 'readwrite', (all) => {
    for (const name of ['outbox', 'photos', 'meta']) all.objectStore(name).clear();
  });
});

const bytes = (text) => new TextEncoder().encode(text).buffer;

test('rows keep the order in which they were made', async () => {
  const rows = Array.from({ length: 20 }, () => row());
  for (const one of rows.toReversed()) await append([one], []);
  assert.deepEqual((await listRows()).map(({ id }) => id), rows.toReversed().map(({ id }) => id));
  assert.deepEqual((await listRows()).map(({ place }) => place), rows.map((_, at) => at + 1));
});

test('a row and its photo are kept together or not at all', async () => {
  const twice = row({ photos: ['aa'] });
  await append([twice], [{ sha256: 'aa', jpeg: bytes('one') }]);
  await assert.rejects(append([twice], [{ sha256: 'bb', jpeg: bytes('two') }]), { name: 'ConstraintError' });
  assert.equal(await photoBytes('bb'), undefined);
  assert.equal((await listRows()).length, 1);
  await dropPhoto('aa');
  assert.equal(await photoBytes('aa'), undefined);
});

test('what the database cannot take is kept beside it and taken in later, once', async () => {
  const one = row();
  const real = IDBObjectStore.prototype.add;
  IDBObjectStore.prototype.add = () => { throw new DOMException('full', 'QuotaExceededError'); };
  try {
    await append([one], []);
  } finally {
    IDBObjectStore.prototype.add = real;
  }
  assert.equal(localStorage.length, 1);
  localStorage.setItem('spill:torn', '{"id"');
  assert.deepEqual((await listRows()).map(({ id, state }) => [id, state]), [[one.id, 'waiting']], 'it is seen and sent');
  localStorage.removeItem('spill:torn');
  await takeSpilled();
  await takeSpilled();
  assert.deepEqual((await listRows()).map(({ id, state }) => [id, state]), [[one.id, 'waiting']]);
  assert.equal(localStorage.length, 0);
});

test('where neither store has room the person is told', async () => {
  const real = IDBObjectStore.prototype.add;
  IDBObjectStore.prototype.add = () => { throw new DOMException('full', 'QuotaExceededError'); };
  localStorage.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };
  try {
    await assert.rejects(append([row()], []), { name: 'QuotaExceededError' });
  } finally {
    IDBObjectStore.prototype.add = real;
  }
});

test('what became of a row beside the database is known there, and goes with it', async () => {
  const [one, other] = [row(), row()];
  for (const each of [one, other]) localStorage.setItem(`spill:${each.id}`, JSON.stringify(each));
  await settle([{ id: one.id, state: 'sent', seq: 3 }, { id: other.id, state: 'sent', seq: 9 }]);
  await forgetShown(JOB, 4);
  assert.deepEqual((await listRows()).map(({ id, state, seq }) => [id, state, seq]), [[other.id, 'sent', 9]]);
  await takeSpilled();
  assert.equal(localStorage.length, 0);
  assert.deepEqual((await listRows()).map(({ id, state, seq }) => [id, state, seq]), [[other.id, 'sent', 9]]);
});

test('a spilled row that is in the database already is not doubled', async () => {
  const one = row();
  await append([one], []);
  localStorage.setItem(`spill:${one.id}`, JSON.stringify(one));
  await takeSpilled();
  assert.equal((await listRows()).length, 1);
  assert.equal(localStorage.length, 0);
});

test('what lies beside the database and cannot be read keeps nothing else back', async () => {
  const one = row();
  localStorage.setItem('spill:broken', '{"id":');
  localStorage.setItem('spill:empty', 'null');
  localStorage.setItem(`spill:${one.id}`, JSON.stringify(one));
  await takeSpilled();
  assert.deepEqual((await listRows()).map(({ id }) => id), [one.id]);
  assert.equal(localStorage.length, 2, 'it stays for somebody who can');
});

test('only sent rows that the page knows of are forgotten', async () => {
  const [shown, newer, waiting, refused] = [row(), row(), row(), row()];
  await append([shown, newer, waiting, refused], []);
  await settle([
    { id: shown.id, state: 'sent', seq: 4 },
    { id: newer.id, state: 'sent', seq: 5 },
    { id: refused.id, state: 'refused', reason: 'no' },
  ]);
  await forgetShown(JOB, 5);
  assert.deepEqual((await listOfJob(JOB)).map(({ id }) => id), [newer.id, waiting.id, refused.id]);
});

test('news about a row that is gone brings it not back', async () => {
  await settle([{ id: row().id, state: 'sent', seq: 1 }]);
  assert.deepEqual(await listRows(), []);
});

test('a connection that has died in the background is replaced', async () => {
  (await openStore()).close();
  await writeMeta('person', TOMASZ);
  assert.equal(await readMeta('person'), TOMASZ);
});

test('the file of last resort holds what waits of one person, exactly as it would be sent', async () => {
  const [mine, sent, theirs] = [row({ photos: ['aa'] }), row(), row({ person: INES, personName: 'Ines' })];
  await append([mine, sent, theirs], [{ sha256: 'aa', jpeg: bytes('picture') }]);
  await settle([{ id: sent.id, state: 'sent', seq: 0 }]);
  const { name, text } = await outboxFile(TOMASZ, new Date('2026-11-27T10:00:00Z'));
  const file = JSON.parse(text);
  assert.equal(name, 'fusewright-outbox-tomasz-2026-11-27.json');
  assert.equal(file.fusewright_outbox, 1);
  assert.equal(file.person, TOMASZ);
  assert.deepEqual(file.entries, [{ job: JOB, body: mine.body }]);
  assert.deepEqual(file.photos, [{ sha256: 'aa', jpeg: Buffer.from('picture').toString('base64') }]);
});
