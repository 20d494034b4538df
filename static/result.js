// @ts-check
/**
 * What was recorded, in words, and the phone's preview of its verdict, for a step that waits to be sent.
 * The server's verdict replaces it as soon as it is known.
 */

import { decimal, subtract } from './decimal.js';
import { preview } from './preview.js';

/**
 * @typedef {import('./outbox.js').Judged} Judged
 * @typedef {{ kind: string } & Record<string, any>} Payload
 */

const WORDS = { pass: 'Pass', fail: 'Fail', inconclusive: 'Inconclusive', uncounted: 'Not counted' };

/** @param {number} count */
const photoCount = (count) => (count === 1 ? '1 photo' : `${count} photos`);

/** As the server prints it. @param {Payload} payload @param {string} [unit] */
export function valueWords(payload, unit = '') {
  switch (payload.kind) {
    case 'torque':
    case 'reading': return `${payload.value} ${unit}`.replace('-', '\u2212');
    case 'fuse': return `${payload.rating_a} A`;
    case 'order': return payload.labels.join(' · ');
    case 'path_drop': return `${payload.drop_v} V at ${payload.current_a} A`.replace('-', '\u2212');
    case 'solar_open': return `${payload.voltage_v} V at ${payload.cell_c} °C`.replaceAll('-', '\u2212');
    case 'photo': return photoCount(payload.photos.length);
    case 'note': return payload.text;
    case 'unable': return 'Not done';
    case 'remark': return payload.text || photoCount(payload.photos.length);
    case 'submit': return `Signed by ${payload.signature.name}`;
    default: return 'Done';
  }
}

/** @param {string} planned @param {string} found @returns {Judged} */
export function judgeFuse(planned, found) {
  const [one, other] = [decimal(planned), decimal(found)];
  if (one && other && subtract(one, other).units === 0n) {
    return { kind: 'pass', word: WORDS.pass, sentence: 'The rating read off the fuse is the planned one.' };
  }
  const sentence = `${planned} A is planned here. Take this fuse out, fit the planned rating and read it again.`;
  return { kind: 'fail', word: WORDS.fail, sentence };
}

/** @param {string[]} expected @param {string[]} seen @returns {Judged} */
export function judgeOrder(expected, seen) {
  const wrong = expected.findIndex((label, at) => label !== seen[at]);
  if (expected.length !== seen.length) {
    const sentence = `The row has ${expected.length} terminals. Read back all of them.`;
    return { kind: 'fail', word: WORDS.fail, sentence };
  }
  if (wrong === -1) {
    return { kind: 'pass', word: WORDS.pass, sentence: "The terminals stand in the kit's order." };
  }
  const sentence = `Position ${wrong + 1} is not what the kit asks for. Isolate, put the row right and read it again.`;
  return { kind: 'fail', word: WORDS.fail, sentence };
}

/**
 * @param {HTMLFormElement} form  as it was saved
 * @param {Payload} payload
 * @returns {Judged | null}  nothing where it is no result of a step
 */
export function judgedHere(form, payload) {
  if (payload.kind === 'remark') return null;
  if (payload.kind === 'unable') return { kind: 'uncounted', word: 'Not done', sentence: payload.reason };
  if (payload.kind === 'fuse') return judgeFuse(form.dataset.planned ?? '', payload.rating_a);
  if (payload.kind === 'order') return judgeOrder(JSON.parse(form.dataset.planned ?? '[]'), payload.labels);
  const verdict = preview(form).verdict;
  if (verdict) return { ...verdict, word: WORDS[verdict.kind] };
  return { kind: 'pass', word: 'Done', sentence: 'Done as written.' };
}
