// @ts-check
/**
 * The sheet on the phone: steps are saved into the outbox, what the outbox holds is painted over the page,
 * and the next step opens. Without this script the forms post and the server does the same.
 */

import { feel } from './feel.js';
import { forgetShown, listOfJob } from './outbox.js';
import { isCounted, paintRow } from './overlay.js';
import { saveStep, saveSubmit, sendSaved } from './saving.js';
import { onStanding } from './sender.js';
import { showNewSheet, showSaved, showSigned } from './saved.js';
import { readMeta } from './store.js';
import { drawCounts, drawTape } from './tape.js';
import { showFault, showQuestion } from './verdict.js';
import { wireStep } from './step.js';

/** @typedef {import('./outbox.js').Row} Row */

/** Long enough to see what was saved, short enough not to wait for. */
const STAY_MS = 600;

/** Asked once; saved again it is kept. @param {HTMLFormElement} form @param {string} question */
function ask(form, question) {
  const known = form.elements.namedItem('improbable');
  if (known instanceof HTMLInputElement) known.value = 'yes';
  const output = form.querySelector('output');
  if (output) showQuestion(output, question);
  else showFault(form, question);
}

/** @param {HTMLElement} sheet  `data-job`, `data-number`, `data-sheet`, `data-count` */
export function wireSheet(sheet) {
  const { job = '', number = '', sheet: edition = '0', count = '0' } = sheet.dataset;
  const { person = '', personName = '' } = document.body.dataset;
  const page = { person, personName, job, number };
  /** @type {HTMLElement[]} */
  const steps = Array.from(sheet.querySelectorAll('.step'));
  /** @param {string} key */
  const stepOf = (key) => steps.find((step) => step.dataset.key === key);
  const here = () => steps.find((step) => step.querySelector('details')?.open) ?? null;
  const draw = () => {
    drawCounts(sheet);
    drawTape(steps, here());
  };

  async function paint() {
    const rows = await listOfJob(job);
    for (const row of rows) {
      const step = stepOf(row.step);
      if (step) paintRow(step, row);
    }
    showSigned(sheet, rows, steps.every((step) => step.classList.contains('step--done')));
    if (((await readMeta(`sheet:${job}`)) ?? 0) > Number(edition)) showNewSheet(sheet);
    draw();
  }

  /** @param {HTMLElement} step */
  function openNext(step) {
    const later = steps.slice(steps.indexOf(step) + 1).find((other) => other.classList.contains('step--todo'));
    const next = later ?? steps.find((other) => other.classList.contains('step--todo'));
    const target = next ?? sheet.querySelector('#sign');
    const fold = target?.querySelector('details');
    if (next && fold) fold.open = true;
    else step.querySelector('details')?.removeAttribute('open');
    target?.scrollIntoView({ block: 'start' });
    const heading = /** @type {HTMLElement | null} */ (target?.querySelector('summary, input[name="name"]') ?? null);
    heading?.focus(/** @type {FocusOptions} */ ({ preventScroll: true, focusVisible: false }));
    return next;
  }

  /** @param {HTMLFormElement} form */
  async function save(form) {
    const step = /** @type {HTMLElement} */ (form.closest('.step'));
    const title = step.querySelector('.step__title')?.textContent ?? '';
    const saved = await saveStep(form, page, title);
    if ('question' in saved) return ask(form, saved.question);
    if ('fault' in saved) return showFault(form, saved.fault);
    const before = step.dataset.mark;
    await paint();
    const [row] = (await listOfJob(job)).filter(({ id }) => id === saved.rows[0].id);
    feel(row?.verdict?.kind, before);
    const sending = sendSaved();
    await new Promise((resolve) => { setTimeout(resolve, STAY_MS); });
    const next = row && isCounted(row) ? openNext(step) : null;
    if (next && row) showSaved(next, step, row);
    await sending;
  }

  sheet.addEventListener('submit', async (event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    if (event.defaultPrevented || form.dataset.busy) return event.preventDefault();
    event.preventDefault();
    form.dataset.busy = 'yes';
    try {
      if (form.dataset.step) await save(form);
      else await sign(form);
    } finally {
      delete form.dataset.busy;
    }
  });

  /** @param {HTMLFormElement} form */
  async function sign(form) {
    const saved = await saveSubmit(form, page, Number(edition));
    if ('fault' in saved) return showFault(form, saved.fault);
    await paint();
    await sendSaved();
  }

  sheet.addEventListener('toggle', ({ target }) => {
    const step = target instanceof HTMLDetailsElement && target.open && target.closest('.step');
    if (step) wireStep(/** @type {HTMLElement} */ (step));
    draw();
  }, true);
  const open = here();
  if (open) wireStep(open);

  /** A kept page opens the step that was next when it was kept; this phone may be further. */
  async function start() {
    await forgetShown(job, Number(count));
    await paint();
    const first = here();
    const isChosen = location.search !== '' || location.hash !== '';
    if (first?.dataset.supersedes && !isChosen) openNext(first);
    onStanding(paint);
  }
  start();
}
