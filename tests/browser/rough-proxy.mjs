// @ts-check
/**
 * A bad line between phones and the server: a proxy that drops, delays, doubles and cuts what goes through
 * it, answers in the server's place, and does all that by a seeded chance. In fair weather it only passes on.
 */

import { Agent, createServer, request as ask } from 'node:http';

/** @typedef {import('./chance.mjs').Chance} Chance */
/** @typedef {{ method: string, url: string, headers: import('node:http').IncomingHttpHeaders, body: Buffer }} Asked */
/** @typedef {{ status: number, headers: string[], body: Buffer }} Answered */

/** Of all requests that are made in rough weather. */
const FAULTS_SHARE = 0.28;
const FAULTS = {
  dropped: 14, // before the server sees it
  torn: 8, // the server sees half of it
  lost: 14, // the server took it, the answer is gone
  cut: 14, // half of the answer
  delayed: 12,
  doubled: 12, // both at once
  late: 8, // the same once more, long after
  'bad gateway': 6,
  unavailable: 5,
  'too many': 4,
  welcome: 7, // somebody else's page as the answer
  'sent elsewhere': 5, // somebody else's page somewhere else
  silent: 0.3, // no answer, ever
};
const WELCOME = '<!doctype html><title>Welcome</title><h1>Welcome to our hall</h1><p>Accept to go on.</p>';
const WELCOME_PATH = '/welcome-to-our-hall';
/** What belongs to one connection and not to the message. */
const OF_CONNECTION = new Set(['connection', 'keep-alive', 'transfer-encoding', 'content-length']);

/** @param {number} ms */
const pause = (ms) => new Promise((resolve) => { setTimeout(resolve, ms); });

/** @param {NodeJS.ReadableStream} stream @returns {Promise<Buffer>} */
async function whole(stream) {
  const parts = [];
  for await (const part of stream) parts.push(/** @type {Buffer} */ (part));
  return Buffer.concat(parts);
}

/** @param {number} port @param {Asked} asked */
function upstream(port, { method, url, headers, body }) {
  const kept = Object.entries(headers).filter(([name]) => !OF_CONNECTION.has(name));
  // Nothing is kept open: a restart of the server meets requests, not idle connections.
  const options = { host: '127.0.0.1', port, method, path: url, agent: new Agent({ keepAlive: false }) };
  return ask({ ...options, headers: { ...Object.fromEntries(kept), 'content-length': String(body.length) } });
}

/** @param {number} port @param {Asked} asked @returns {Promise<Answered>} */
function forward(port, asked) {
  return new Promise((resolve, reject) => {
    const going = upstream(port, asked);
    going.on('error', reject);
    going.on('response', (answer) => {
      const { rawHeaders, statusCode = 502 } = answer;
      const pairs = rawHeaders.flatMap((name, at) => (at % 2 === 0 && !OF_CONNECTION.has(name.toLowerCase()) ? [name, rawHeaders[at + 1]] : []));
      whole(answer).then((body) => resolve({ status: statusCode, headers: pairs, body }), reject);
    });
    going.end(asked.body);
  });
}

/** Sends half of a request and hangs up. @param {number} port @param {Asked} asked */
function tear(port, asked) {
  return new Promise((resolve) => {
    const going = upstream(port, asked);
    going.on('error', resolve);
    going.on('close', resolve);
    const half = asked.body.subarray(0, asked.body.length >> 1);
    going.write(half.length > 0 ? half : '', () => going.destroy());
    going.flushHeaders();
  });
}

/** @param {number} status @param {string} words @param {string[]} [more] @returns {Answered} */
const html = (status, words, more = []) => ({
  status, headers: ['content-type', 'text/html; charset=utf-8', ...more], body: Buffer.from(words),
});

/** @param {import('node:http').ServerResponse} response @param {Answered} answer @param {number} [share]  of the body */
function give(response, { status, headers, body }, share = 1) {
  const length = status === 204 || status === 304 ? [] : ['content-length', String(body.length)];
  response.writeHead(status, [...headers, ...length]);
  if (share === 1) return response.end(body);
  return response.write(body.subarray(0, Math.floor(body.length * share)), () => response.destroy());
}

/** Of a batch the first entry is kept back and yet said to be recorded. @param {Asked} asked @param {(asked: Asked) => Promise<Answered>} pass */
async function keepBack(asked, pass) {
  const batch = JSON.parse(asked.body.toString());
  const [, ...entries] = batch.entries;
  // The answer is read here, so it must not come packed.
  const headers = { ...asked.headers, 'accept-encoding': 'identity' };
  const answer = await pass({ ...asked, headers, body: Buffer.from(JSON.stringify({ ...batch, entries })) });
  if (answer.status !== 200) return { answer, isKept: false };
  const found = JSON.parse(answer.body.toString());
  const answers = [{ state: 'recorded', seq: found.count }, ...found.answers];
  return { answer: { ...answer, body: Buffer.from(JSON.stringify({ ...found, answers })) }, isKept: true };
}

/**
 * @param {Chance} chance
 * @param {number} target  port of the server on this machine
 * @param {{ withholds?: boolean }} [how]  `withholds`: one entry is acknowledged and never passed on, so that a
 *   comparison can be seen to find it
 */
export async function startRoughProxy(chance, target, { withholds = false } = {}) {
  /** @type {Map<string, number>} */
  const counts = new Map();
  const weather = { isRough: false, withholds, counts };
  const count = (/** @type {string} */ kind) => counts.set(kind, (counts.get(kind) ?? 0) + 1);
  const lateOnes = new Set();

  /** @param {Asked} asked */
  async function pass(asked) {
    try {
      return await forward(target, asked);
    } catch {
      if (weather.isRough) count('server away');
      return html(502, '<h1>Bad gateway</h1>');
    }
  }

  /** @param {string} fault @param {Asked} asked @param {import('node:http').ServerResponse} response */
  async function spoil(fault, asked, response) {
    const seconds = chance.between(1, 2);
    switch (fault) {
      case 'dropped': return response.destroy();
      case 'torn':
        await tear(target, asked);
        return response.destroy();
      case 'lost':
        await pass(asked);
        return response.destroy();
      case 'cut': return give(response, await pass(asked), 0.5);
      case 'delayed':
        await pause(chance.between(50, 900));
        return give(response, await pass(asked));
      case 'doubled': {
        const both = [pass(asked), pass(asked)];
        const heard = await both[chance.between(0, 1)];
        return give(response, heard);
      }
      case 'late': {
        const again = pause(chance.between(300, 3000)).then(() => pass(asked)).finally(() => lateOnes.delete(again));
        lateOnes.add(again);
        return give(response, await pass(asked));
      }
      case 'bad gateway': return give(response, html(502, '<h1>Bad gateway</h1>'));
      case 'unavailable': {
        const date = new Date(Date.now() + seconds * 1000).toUTCString();
        return give(response, html(503, 'Later.', ['retry-after', chance.pick([date, String(seconds)])]));
      }
      case 'too many': return give(response, html(429, 'Slowly.', ['retry-after', String(seconds)]));
      case 'welcome': return give(response, html(200, WELCOME));
      case 'sent elsewhere': return give(response, html(302, '', ['location', WELCOME_PATH]));
      default: return undefined;
    }
  }

  const server = createServer(async (request, response) => {
    const { method = 'GET', url = '/', headers } = request;
    try {
      const asked = { method, url, headers, body: await whole(request) };
      if (url === WELCOME_PATH) return give(response, html(200, WELCOME));
      if (weather.withholds && url === '/sync') {
        // Of two phones that send at once only one is cheated.
        weather.withholds = false;
        const { answer, isKept } = await keepBack(asked, pass);
        weather.withholds = !isKept;
        return give(response, answer);
      }
      if (!weather.isRough || !chance.is(FAULTS_SHARE)) return give(response, await pass(asked));
      const fault = chance.weighed(FAULTS);
      count(fault);
      return await spoil(fault, asked, response);
    } catch {
      return response.destroy();
    }
  });
  await new Promise((resolve) => { server.listen(0, '127.0.0.1', () => resolve(undefined)); });
  const { port } = /** @type {import('node:net').AddressInfo} */ (server.address());
  const close = async () => {
    await Promise.allSettled(lateOnes);
    server.closeAllConnections();
    await new Promise((resolve) => { server.close(resolve); });
  };
  return { ...{ base: `http://127.0.0.1:${port}`, close }, weather };
}
