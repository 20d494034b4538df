// @ts-check
/**
 * What stands in front of the demo in a journey: a server on loopback that hands everything on, and can play the
 * next version of the program: the same files under another build name.
 */

import http from 'node:http';

const TEXT = /html|javascript|json|css|manifest/;
const BUILD = /\/a\/([0-9a-f]+)\//;

/** @param {string} base  of the demo */
export async function frontOf(base) {
  const { hostname, port } = new URL(base);
  const sheet = await (await fetch(`${base}/sign-in`)).text();
  const own = BUILD.exec(sheet)?.[1] ?? '';
  const next = own.split('').reverse().join('').replace(/^./, (digit) => (digit === 'b' ? 'c' : 'b'));
  let shown = own;
  let mayBatch = true;
  /** @type {{ path: string, arrived: () => void, release: Promise<void> } | null} */
  let held = null;
  let release = () => {};

  const server = http.createServer((request, response) => {
    if (!mayBatch && request.url === '/sync') return request.socket.destroy();
    const isFile = request.url?.startsWith('/a/');
    // Only the files of the version that is served are there.
    const path = isFile ? request.url?.replace(`/a/${shown}/`, `/a/${own}/`) : request.url;
    if (isFile && shown !== own && request.url?.startsWith(`/a/${own}/`)) return response.writeHead(404).end();
    const headers = { ...request.headers, host: `${hostname}:${port}`, 'accept-encoding': 'identity' };
    const asked = http.request({ hostname, port, path, method: request.method, headers }, (answer) => {
      const isText = TEXT.test(answer.headers['content-type'] ?? '');
      /** @type {Buffer[]} */
      const parts = [];
      answer.on('data', (part) => parts.push(part));
      answer.on('end', async () => {
        if (held && held.path === request.url) {
          held.arrived();
          await held.release;
        }
        const whole = Buffer.concat(parts);
        const body = isText ? Buffer.from(whole.toString('utf8').replaceAll(own, shown)) : whole;
        const { 'content-length': _, 'transfer-encoding': __, ...told } = answer.headers;
        response.writeHead(answer.statusCode ?? 502, { ...told, 'content-length': body.length });
        response.end(body);
      });
    });
    asked.on('error', () => response.destroy());
    request.pipe(asked);
    return undefined;
  });
  await new Promise((resolve) => { server.listen(0, '127.0.0.1', () => resolve(undefined)); });
  const address = /** @type {import('node:net').AddressInfo} */ (server.address());
  return {
    base: `http://127.0.0.1:${address.port}`,
    builds: { own, next },
    /** From now on it is the next version. */
    renew: () => { shown = next; },
    /** Whether what phones send arrives. @param {boolean} may */
    letSync: (may) => { mayBatch = may; },
    /** Keeps the answers to this path back; tells when the first is there. @param {string} path @returns {Promise<void>} */
    holdAnswer: (path) => new Promise((arrived) => {
      held = { path, arrived, release: new Promise((free) => { release = free; }) };
    }),
    letAnswer() {
      held = null;
      release();
    },
    close: () => new Promise((resolve) => {
      server.closeAllConnections();
      server.close(resolve);
    }),
  };
}
