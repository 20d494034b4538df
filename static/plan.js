// @ts-check
/**
 * A changed figure of the plan shows its findings at once: the form as typed goes to the server, and
 * the parts of the answer that are marked take the place of the old ones. Nothing is saved by this.
 */

const WAIT_MS = 250;
const PARTS = ['faults', 'results', 'counts'];

/**
 * Puts the marked parts of an answered page in place of those of this one.
 * @param {Document} answer
 * @param {Document} page
 */
export function takeParts(answer, page) {
  for (const name of PARTS) {
    const [now, then] = [page, answer].map((one) => one.querySelector(`[data-plan-part="${name}"]`));
    if (now && then) now.replaceChildren(...Array.from(then.childNodes, (node) => page.importNode(node, true)));
  }
}

/**
 * What the server typed in for a change that was asked for.
 * @param {Document} answer
 * @param {HTMLFormElement} form
 */
function takeValues(answer, form) {
  for (const field of form.elements) {
    if (!(field instanceof HTMLInputElement || field instanceof HTMLSelectElement) || !field.name) continue;
    const answered = answer.getElementById(field.id);
    if (answered instanceof HTMLInputElement || answered instanceof HTMLSelectElement) field.value = answered.value;
  }
}

/**
 * The answered page as a document. A plain request can hand one over; text would have to be parsed,
 * which this site forbids itself.
 * @param {string} address
 * @param {URLSearchParams} typed
 * @returns {Promise<Document | null>}  nothing where the answer is another page
 */
export function askPage(address, typed) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open('POST', address);
    request.responseType = 'document';
    request.onload = () => resolve([200, 422].includes(request.status) ? request.responseXML : null);
    request.onerror = () => reject(new Error('no answer'));
    request.send(typed);
  });
}

/** @param {HTMLFormElement} form  `data-plan` is where the typed figures are worked out */
export function wirePlan(form) {
  const address = form.dataset.plan ?? '';
  let latest = 0;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let waiting;

  /** @param {string} [apply] the finding whose smallest change is to be typed in */
  async function work(apply) {
    const turn = ++latest;
    const typed = new URLSearchParams(/** @type {any} */ (new FormData(form)));
    if (apply) typed.append('apply', apply);
    try {
      const answer = await askPage(address, typed);
      // A later change is on its way: its answer counts.
      if (!answer || turn !== latest) return;
      takeParts(answer, document);
      if (apply) takeValues(answer, form);
    } catch {
      // No signal: the findings on the page stay those of the last answer, and saving still works later.
    }
  }

  form.addEventListener('change', () => {
    clearTimeout(waiting);
    waiting = setTimeout(() => work(), WAIT_MS);
  });
  form.addEventListener('submit', (event) => {
    const button = event.submitter;
    if (!(button instanceof HTMLButtonElement) || !button.hasAttribute('formaction')) return;
    event.preventDefault();
    work(button.name === 'apply' ? button.value : undefined);
  });
}
