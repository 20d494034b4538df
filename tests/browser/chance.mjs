// @ts-check
/** Chance that can be had again: the same seed gives the same draws. */

/** @typedef {ReturnType<typeof chanceOf>} Chance */

/** @param {number} seed  a whole number */
export function chanceOf(seed) {
  let state = seed >>> 0;
  /** From 0 up to 1: mulberry32, a generator in the public domain. */
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  /** @param {number} from @param {number} to  whole numbers, both may come */
  const between = (from, to) => from + Math.floor(next() * (to - from + 1));
  return {
    next,
    between,
    /** @param {number} share */
    is: (share) => next() < share,
    /** @template T @param {readonly T[]} some @returns {T} */
    pick: (some) => some[between(0, some.length - 1)],
    /** By weight. @template {string} T @param {Record<T, number>} weights @returns {T} */
    weighed: (weights) => {
      const all = /** @type {[T, number][]} */ (Object.entries(weights));
      let left = next() * all.reduce((sum, [, weight]) => sum + weight, 0);
      const found = all.find(([, weight]) => (left -= weight) < 0);
      return (found ?? all[0])[0];
    },
  };
}
