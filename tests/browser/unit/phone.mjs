// A phone without a browser: its database, its small store, and a server that can be told to misbehave.

import 'fake-indexeddb/auto';

/** A small store as the browser has it. */
export function smallStore() {
  const kept = new Map();
  return {
    getItem: (key) => kept.get(key) ?? null,
    setItem: (key, value) => { kept.set(key, value); },
    removeItem: (key) => { kept.delete(key); },
    key: (at) => [...kept.keys()][at] ?? null,
    get length() { return kept.size; },
  };
}

globalThis.localStorage = smallStore();

export const TOMASZ = '00000000-0000-7000-8000-000000000001';
export const INES = '00000000-0000-7000-8000-000000000002';
export const JOB = '00000000-0000-7000-8000-00000000000a';

let made = 0;

/** What a step comes to, as `saving.js` writes it. */
export function row(given = {}) {
  made += 1;
  const id = `00000000-0000-7000-8000-1${String(made).padStart(11, '0')}`;
  return {
    id, person: TOMASZ, personName: 'Tomasz', job: JOB, number: '8', step: `step.${made}`, title: `Step ${made}`,
    kind: 'confirm', value: 'Done', body: JSON.stringify({ id, kind: 'confirm', photos: given.photos }), at: 1_800_000_000_000 + made,
    photos: [], verdict: { kind: 'pass', word: 'Done', sentence: 'Done as written.' }, ...given,
  };
}

const problem = (status, type, detail, more = {}) => new Response(
  JSON.stringify({ type, title: type, status, detail, ...more }),
  { status, headers: { 'content-type': 'application/problem+json' } },
);

/**
 * A server by the protocol: what it has is in `entries` and `photos`. `mood` may answer in its place, before
 * or after it has taken the request in.
 */
export function serverFor(person) {
  const server = {
    person, entries: new Map(), photos: new Map(), calls: [], refuses: new Set(), chokesOn: new Set(), spoils: new Set(), mood: {},
    fetch: async (address, { method = 'GET', headers = {}, body } = {}) => {
      const call = { address, method, count: 0 };
      server.calls.push(call);
      const early = await server.mood.before?.(call);
      if (early) return early;
      const answer = address === '/sync' ? sync(call, headers, JSON.parse(body)) : upload(address, method, headers, body);
      const late = await server.mood.after?.(call, answer);
      return late ?? answer;
    },
  };

  function sync(call, headers, batch) {
    call.count = batch.entries.length;
    if (!server.person) return problem(401, 'sign-in', 'Sign in again.');
    if (headers['x-expect-person'] !== server.person) return problem(409, 'conflict', 'Somebody else is signed in.');
    const ids = batch.entries.map((body) => JSON.parse(body).id);
    if (ids.some((id) => server.chokesOn.has(id))) return problem(422, 'rule', 'This cannot be read.');
    const answers = ids.map((id, at) => {
      if (server.refuses.has(id)) return { state: 'refused', reason: 'This entry belongs to another job.' };
      const { photos = [] } = JSON.parse(batch.entries[at]);
      const lacks = !server.entries.has(id) && photos.some((sha256) => !server.photos.get(sha256)?.complete);
      if (lacks) return { state: 'waits', reason: 'Its photo has not arrived.' };
      const state = server.entries.has(id) ? 'already' : 'recorded';
      if (state === 'recorded') server.entries.set(id, { body: batch.entries[at], seq: server.entries.size });
      return { state, seq: server.entries.get(id).seq, verdict: { kind: 'pass', word: 'Pass', sentence: 'By the server.' } };
    });
    return Response.json({ answers, count: server.entries.size, head: 'ab', sheet: 1 });
  }

  function upload(address, method, headers, body) {
    const sha256 = address.split('/')[2];
    const photo = server.photos.get(sha256) ?? { received: 0, complete: false, bytes: [] };
    if (method === 'POST' && headers['x-expect-person'] !== server.person) {
      return problem(409, 'conflict', 'Somebody else is signed in.');
    }
    if (method === 'POST' && server.spoils.has(sha256)) return problem(422, 'rule', 'The photo is damaged. Take it again.');
    if (method === 'POST' && !photo.complete) {
      if (Number(headers['upload-offset']) !== photo.received) {
        return problem(409, 'conflict', 'Go on elsewhere.', { received: photo.received });
      }
      photo.received += body.byteLength;
      photo.bytes?.push(new Uint8Array(body));
      photo.complete = photo.received === Number(headers['upload-length']);
      server.photos.set(sha256, photo);
    }
    return Response.json({ received: photo.received, complete: photo.complete });
  }
  globalThis.fetch = server.fetch;
  return server;
}

export { problem };
