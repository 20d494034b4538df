// @ts-check
/**
 * Ids made where the thing is made: UUIDv7 (RFC 9562, section 5.7), each above the one before, also within a
 * millisecond and when the clock steps back.
 */

/** Bits of chance behind the milliseconds, in two pieces: version and variant stand before them. */
const CHANCE_BITS = 74n;
const BEHIND_VARIANT_BITS = 62n;
/** A step goes up to 2³² above the last, so that nobody guesses the next. */
const STEP_BYTES = 4;
const CHANCE_BYTES = 10;

/** The last id without its version and variant: 122 bits that only grow. */
let last = 0n;

/** @param {number} bytes */
const chance = (bytes) => crypto.getRandomValues(new Uint8Array(bytes))
  .reduce((sum, byte) => (sum << 8n) | BigInt(byte), 0n);

/** @param {number} [now]  milliseconds since 1970 */
export function newId(now = Date.now()) {
  const ms = BigInt(Math.trunc(now));
  // In a used millisecond, or before it, the last id is counted on; what runs over goes into the time.
  last = ms > last >> CHANCE_BITS
    ? (ms << CHANCE_BITS) | BigInt.asUintN(Number(CHANCE_BITS), chance(CHANCE_BYTES))
    : last + 1n + chance(STEP_BYTES);
  const time = last >> CHANCE_BITS;
  const high = BigInt.asUintN(12, last >> BEHIND_VARIANT_BITS) | 0x7000n;
  const low = BigInt.asUintN(Number(BEHIND_VARIANT_BITS), last) | (0b10n << BEHIND_VARIANT_BITS);
  const hex = ((time << 80n) | (high << 64n) | low).toString(16).padStart(32, '0');
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, '$1-$2-$3-$4-$5');
}
