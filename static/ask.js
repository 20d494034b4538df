// @ts-check
/** A question to the server, and the ways in which it may stay without an answer. */

const ANSWER_MS_MAX = 20_000;

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
  if (answer.status === 401 || answer.type === 'opaqueredirect') throw new Stop('sign-in');
  if ([403, 408, 425, 429].includes(answer.status) || answer.status >= 500) {
    throw new Stop('later', Number(answer.headers.get('retry-after') ?? 0) * 1000);
  }
  return answer;
}

/** Something between here and the server may answer in its place. @param {Response} answer */
export const parsed = (answer) => answer.json().catch(() => { throw new Stop('later'); });
