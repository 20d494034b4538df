// @ts-check
/**
 * A manager's desk beside a journey on a phone: opens jobs and looks into the record, by the requests that the
 * manager's pages make, without the time that pages take.
 */

import assert from 'node:assert/strict';
import { bodyText, deviceTime } from '../../../static/body.js';
import { newId } from '../../../static/ids.js';
import { PLAN } from './main-job.mjs';

/** @typedef {import('../demo.mjs').Stage} Stage */

const SAME_ORIGIN = { 'sec-fetch-site': 'same-origin' };
const CAUTIONS_MAX = 20;

/** What a page has each time between quotes or tags. @param {string} html @param {RegExp} found  with one group */
const all = (html, found) => Array.from(html.matchAll(found), ([, part]) => part);

/**
 * @typedef {object} Standing  of one job, as a manager's sheet shows it
 * @property {number} count  entries, with those of plan and sheet
 * @property {number} results  of steps, each time that one was recorded
 * @property {Set<string>} photos  their digests
 * @property {string} html
 */

/** @param {Stage} stage */
export async function deskOf({ browser, base, signIns }) {
  const context = await browser.newContext();
  /** @param {string} path */
  const read = async (path) => {
    const answer = await context.request.get(base + path);
    assert.equal(answer.status(), 200, path);
    return answer.text();
  };
  /** @param {string} path @param {Record<string, string>} form */
  const post = async (path, form) => {
    const answer = await context.request.post(base + path, { form, headers: SAME_ORIGIN });
    assert.ok(answer.ok(), `${path} was answered with ${answer.status()}: ${(await answer.text()).slice(0, 400)}`);
    return answer;
  };
  await post('/sign-in', signIns.manager);

  /** Saves the plan and makes the sheet of it. @param {string} job @param {Record<string, string>} [changes] */
  async function plan(job, changes = {}) {
    await post(`${job}/plan`, { ...PLAN, ...changes });
    for (let left = CAUTIONS_MAX; ; left -= 1) {
      const [caution] = all(await read(`${job}/plan`), /name="finding" value="([^"]+)"/g);
      if (!caution) break;
      assert.ok(left > 0, 'every caution can be accepted');
      await post(`${job}/plan/acknowledge`, { finding: caution, reason: 'Looked at in the vehicle; the frame carries it.' });
    }
    await post(`${job}/sheet`, {});
  }

  return {
    context, read, post, plan,
    /** A job with its sheet. @param {string} technician  first name @param {string} registration */
    async openJob(technician, registration) {
      const form = await read('/jobs/new');
      const [id] = all(form, /name="id" value="([^"]+)"/g);
      const [kit] = all(form, /<option value="([^"]+)"[^>]*>TRAY-40/g);
      const [person] = all(form, new RegExp(`<option value="([^"]+)"[^>]*>${technician}`, 'gi'));
      await post('/jobs/new', {
        id, kit, technician: person, registration, vehicle: 'Panel van, medium roof', customer: 'Rowan & Ash Joinery',
      });
      const job = `/jobs/${id}`;
      await plan(job, { 'vehicle.registration': registration });
      return job;
    },
    /** Nobody takes it along any more. @param {string[]} jobs */
    async putAside(...jobs) {
      for (const job of jobs) await post(`${job}/assign`, { technician: '' });
    },
    /** @param {string} job @returns {Promise<Standing>} */
    async record(job) {
      const html = await read(`${job}/sheet`);
      return {
        html,
        count: Number(all(html, /data-count="(\d+)"/g)[0]),
        results: all(html, /(class="history__entry")/g).length,
        photos: new Set(all(html, /\/photos\/([0-9a-f]{64})\/thumb/g)),
      };
    },
  };
}

/**
 * Steps that were done as written, a while before the journey begins.
 * @param {Stage} stage @param {import('../demo.mjs').SignIn} who @param {string} job @param {number} most
 */
export async function confirmAhead({ browser, base }, who, job, most) {
  const context = await browser.newContext();
  const headers = SAME_ORIGIN;
  await context.request.post(`${base}/sign-in`, { form: { ...who }, headers });
  const sheet = await (await context.request.get(`${base}${job}/sheet`)).text();
  const id = job.replace('/jobs/', '');
  const entries = all(sheet, /data-step="([^"]+)" data-kind="confirm"/g).slice(0, most).map((step) => bodyText({
    id: newId(), job: id, sheet: 1, step, at: deviceTime(), payload: { kind: 'confirm' },
  }));
  const answer = await context.request.post(`${base}/sync`, { data: { job: id, entries }, headers });
  const states = (await answer.json()).answers.map((/** @type {{ state: string }} */ { state }) => state);
  assert.ok(states.every((/** @type {string} */ state) => state === 'recorded'), states.join());
  await context.close();
  return entries.length;
}
