// The program's own files on the phone: from the server or not at all.

import assert from 'node:assert/strict';
import { beforeEach, test } from 'node:test';

import { TOMASZ } from './phone.mjs';
import { keepPage } from '../../../static/kept.js';
import { keepShell, shellOf } from '../../../static/shell.js';

const BUILD = '0a1b';
const FILES = [`/a/${BUILD}/app.js`, `/a/${BUILD}/css/app.css`, `/a/${BUILD}/icons/mark.svg`];
const TYPES = { js: 'text/javascript', css: 'text/css', svg: 'image/svg+xml' };

const answer = (body, type, more = {}) => Object.defineProperties(
  new Response(body, { ...more, headers: { 'content-type': type, ...more.headers } }), { redirected: { value: more.redirected ?? false } },
);
const welcome = () => answer('<h1>Welcome</h1>', 'text/html');

/** @type {Map<string, Map<string, Response>>} */
let kept;
/** @type {Record<string, () => Response>} */
let instead;

beforeEach(() => {
  Object.defineProperty(globalThis, 'navigator', { value: {}, configurable: true });
  kept = new Map();
  instead = {};
  globalThis.caches = {
    open: async (name) => {
      const cache = kept.get(name) ?? new Map();
      kept.set(name, cache);
      return { match: async (key) => cache.get(key), put: async (key, one) => { cache.set(key, one); } };
    },
  };
  globalThis.fetch = async (address) => {
    if (instead[address]) return instead[address]();
    if (address.endsWith('list.json')) return answer(JSON.stringify(FILES), 'application/json');
    if (FILES.includes(address)) return answer('a file', TYPES[address.split('.').pop()]);
    return answer(`<script src="/a/${BUILD}/app.js"></script>`, 'text/html');
  };
});

const isWhole = () => kept.get(shellOf(BUILD))?.has(`/a/${BUILD}/list.json`) ?? false;

test('a shell is whole once its list is in it', async () => {
  await keepShell(BUILD, ['/offline']);
  assert.ok(isWhole());
  assert.deepEqual([...kept.get(shellOf(BUILD)).keys()].sort(), [...FILES, `/a/${BUILD}/list.json`, '/offline'].sort());
});

test('a welcome page in place of any file is not taken for it, nor is what was sent elsewhere', async () => {
  const redirected = () => answer('a file', 'text/javascript', { redirected: true });
  const failed = () => answer('', 'text/javascript', { status: 502 });
  for (const address of [...FILES, `/a/${BUILD}/list.json`, '/offline']) {
    for (const one of [welcome, redirected, failed]) {
      if (address === '/offline' && one === redirected) continue;
      instead = { [address]: one };
      await assert.rejects(keepShell(BUILD, ['/offline']), /somebody else/);
      assert.equal(isWhole(), false);
      assert.equal(kept.get(shellOf(BUILD)).size, 0);
    }
  }
  instead = {};
  await keepShell(BUILD, ['/offline']);
  assert.ok(isWhole());
});

test('a page goes in with the files it was made for, and without them not at all', async () => {
  const path = '/jobs';
  const page = () => answer(`<script src="/a/${BUILD}/app.js"></script>`, 'text/html', { headers: { 'x-made-for': TOMASZ } });
  instead = { [FILES[0]]: welcome };
  await assert.rejects(keepPage(path, page()), /somebody else/);
  assert.equal(kept.get(`pages-${TOMASZ}`), undefined);
  instead = {};
  assert.ok(await keepPage(path, page()) > 0);
  assert.ok(isWhole());
  assert.deepEqual([...kept.get(`pages-${TOMASZ}`).keys()], [path]);
  assert.equal(await keepPage(path, welcome()), 0, 'nobody says whom a welcome page is for');
});

test('what is whole is not asked for again', async () => {
  await keepShell(BUILD);
  instead = Object.fromEntries(FILES.map((file) => [file, welcome]));
  await keepShell(BUILD);
  assert.ok(isWhole());
});
