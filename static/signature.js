// @ts-check
/**
 * A signature drawn with finger or pen, kept as a short SVG path in a hidden field. The typed name
 * beside it is the way without script; the drawing is evidence of presence, nothing more.
 */

const WIDTH = 600;
const HEIGHT = 200;
const STEP_MIN = 3;
/** At most eight letters each: 12 kB of the 16 that a body may have. */
const POINTS_MAX = 1500;

/** @typedef {[x: number, y: number]} Point */

/**
 * Strokes as a path: a move, then lines, whole units of a 600 by 200 field. The server takes no other letters.
 * @param {Point[][]} strokes
 */
export const pathOf = (strokes) => strokes.filter((stroke) => stroke.length > 1).map((stroke) =>
  stroke.map(([x, y], at) => `${at === 0 ? 'M' : 'L'}${x} ${y}`).join('')).join('');

/** On the field, for a finger that slid off it. @param {number} share @param {number} size */
export const placeOn = (share, size) => Math.round(Math.min(1, Math.max(0, share)) * size);

/** Points nearer together than the hand can mean are left out. @param {Point | undefined} last @param {Point} next */
export const isApart = (last, next) => !last || Math.hypot(next[0] - last[0], next[1] - last[1]) >= STEP_MIN;

/** @param {Element} block  hidden until wired; holds a canvas, a hidden input and a clear button */
export function wireSignature(block) {
  const canvas = block.querySelector('canvas');
  const field = block.querySelector('input[type="hidden"]');
  const ink = canvas?.getContext('2d');
  if (!canvas || !ink || !(field instanceof HTMLInputElement)) return;
  block.removeAttribute('hidden');
  canvas.width = WIDTH;
  canvas.height = HEIGHT;
  Object.assign(ink, { lineWidth: 3.5, lineCap: 'round', lineJoin: 'round', strokeStyle: '#141c17' });
  /** @type {Point[][]} */
  let strokes = [];
  let points = 0;
  let isDrawing = false;

  /** @param {PointerEvent} event @returns {Point} */
  const place = (event) => {
    const box = canvas.getBoundingClientRect();
    return [
      placeOn((event.clientX - box.left) / box.width, WIDTH),
      placeOn((event.clientY - box.top) / box.height, HEIGHT),
    ];
  };
  canvas.addEventListener('pointerdown', (event) => {
    if (points >= POINTS_MAX) return;
    canvas.setPointerCapture(event.pointerId);
    isDrawing = true;
    strokes.push([place(event)]);
    points += 1;
  });
  canvas.addEventListener('pointermove', (event) => {
    const stroke = strokes.at(-1);
    const next = place(event);
    if (!isDrawing || !stroke || points >= POINTS_MAX || !isApart(stroke.at(-1), next)) return;
    const last = stroke.at(-1) ?? next;
    ink.beginPath();
    ink.moveTo(...last);
    ink.lineTo(...next);
    ink.stroke();
    stroke.push(next);
    points += 1;
  });
  const stop = () => {
    isDrawing = false;
    field.value = pathOf(strokes);
  };
  canvas.addEventListener('pointerup', stop);
  canvas.addEventListener('pointercancel', stop);
  block.querySelector('[data-clear]')?.addEventListener('click', () => {
    strokes = [];
    points = 0;
    field.value = '';
    ink.clearRect(0, 0, WIDTH, HEIGHT);
  });
}
