// @ts-check
/**
 * Moves the needle and the guard bands of a gauge that the server drew. Geometry is in per cent of
 * the scale; it draws, it decides nothing.
 */

/**
 * @param {number} value
 * @param {number} from
 * @param {number} to
 */
export const percentOn = (value, from, to) =>
  Math.round(Math.min(Math.max((value - from) / (to - from), 0), 1) * 10_000) / 100;

/** @param {Element} gauge */
function scaleOf(gauge) {
  const { from, to } = /** @type {HTMLElement | SVGElement} */ (gauge).dataset;
  return { from: Number(from), to: Number(to) };
}

/**
 * @param {Element} gauge
 * @param {string | null} position  none hides the needle
 */
export function moveNeedle(gauge, position) {
  const needle = gauge.querySelector('[data-needle]');
  if (!needle) return;
  needle.toggleAttribute('hidden', position === null);
  if (position === null) return;
  const { from, to } = scaleOf(gauge);
  needle.setAttribute('x', `${percentOn(Number(position), from, to)}%`);
}

/**
 * Two limits keep their places; the scale moves under them, as the server draws it: half the band on each
 * side. Limits that are not known, or the wrong way round, are left without figures.
 * @param {Element} gauge
 * @param {{ lower: string, upper: string } | null} limits
 */
export function setLimits(gauge, limits) {
  const [lower, upper] = [Number(limits?.lower), Number(limits?.upper)];
  const isKnown = lower < upper;
  const beside = (upper - lower) / 2;
  const { dataset } = /** @type {HTMLElement | SVGElement} */ (gauge);
  [dataset.from, dataset.to] = isKnown ? [String(lower - beside), String(upper + beside)] : ['0', '1'];
  const labels = gauge.querySelectorAll('.gauge__label');
  for (const [at, side] of /** @type {const} */ (['lower', 'upper']).entries()) {
    const limit = isKnown && limits ? limits[side] : '';
    const guard = gauge.querySelector(`[data-guard="${side}"]`);
    guard?.setAttribute('data-at', limit);
    if (!isKnown) guard?.setAttribute('width', '0%');
    if (labels[at]) labels[at].textContent = limit;
  }
}

/**
 * @param {Element} gauge
 * @param {{ lower: string, upper: string }} guards  expanded uncertainty at each limit
 */
export function drawGuards(gauge, guards) {
  const { from, to } = scaleOf(gauge);
  for (const side of /** @type {const} */ (['lower', 'upper'])) {
    const rect = gauge.querySelector(`[data-guard="${side}"]`);
    const limit = Number.parseFloat(rect?.getAttribute('data-at') ?? '');
    if (!rect || Number.isNaN(limit)) continue;
    const inner = side === 'lower' ? limit + Number(guards.lower) : limit - Number(guards.upper);
    const [left, right] = [Math.min(limit, inner), Math.max(limit, inner)].map((at) => percentOn(at, from, to));
    rect.setAttribute('x', `${left}%`);
    rect.setAttribute('width', `${Math.round((right - left) * 100) / 100}%`);
  }
}
