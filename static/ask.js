// @ts-check
/** A question to the server, and the ways in which it may stay without an answer. */

const ANSWER_MS_MAX = 20_000;
/** Longer than this nobody is waited for, whatever was asked. */
const WAIT_MS_MAX = 600_000;

/**
 * Why sending ended: all that could be sent was; the rest wants another time, another sign-in, or the
 * person who recorded it.
 * @typedef {'done' | 'later' | 'sign-in' | 'other-person'} Ending
 */

/** Ends a run; the rows that were not answered wait on. */
export class Stop extends Error {
  /** @param {Ending} ending @param {number} [waitMs]  as the server asked */
  constructor(ending, waitMs = 0) {
    super(ending);
    this.ending = ending;
    this.waitMs = waitMs;
  }
}

/**
 * @param {string} address
 * @param {RequestInit} request
 * @returns {Promise<Response>}  the server's answer to a request that it has read
 */
export async function ask(address, request) {
  const { headers, ...rest } = request;
  const whole = { accept: 'application/json', ...headers };
  const signal = AbortSignal.timeout(ANSWER_MS_MAX);
  const answer = await fetch(address, { ...rest, headers: whole, signal, redirect: 'manual', cache: 'no-store' })
    .catch(() => { throw new Stop('later'); });
  // The server sends no script elsewhere: whoever does is in between, and may be gone soon.
  if (answer.type === 'opaqueredirect') throw new Stop('later');
  if (answer.status === 401) throw new Stop((await parsed(answer)).type === 'sign-in' ? 'sign-in' : 'later');
  if ([403, 408, 425, 429].includes(answer.status) || answer.status >= 500) {
    throw new Stop('later', waitAsked(answer.headers.get('retry-after') ?? ''));
  }
  return answer;
}

/**
 * How long the server wants to be left alone [ms]: it says seconds or a date. What cannot be read is no wait.
 * @param {string} words @param {number} [now]
 */
export function waitAsked(words, now = Date.now()) {
  const ms = /^\d+$/.test(words.trim()) ? Number(words) * 1000 : Date.parse(words) - now;
  return ms > 0 ? Math.min(ms, WAIT_MS_MAX) : 0;
}

/** Something between here and the server may answer in its place. @param {Response} answer */
export async function parsed(answer) {
  const found = await answer.json().catch(() => null);
  if (typeof found !== 'object' || found === null) throw new Stop('later');
  return found;
}
