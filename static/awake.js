// @ts-check
/**
 * Keeps the screen on while something is read off an instrument: while the field of a reading has the focus,
 * and for two minutes after its step was touched. An extra; a phone without it goes dark as always.
 */

const TOUCHED_MS = 2 * 60 * 1000;

/**
 * What the platform gives; the tests give their own.
 * @typedef {{ release: () => Promise<void>, addEventListener: (type: 'release', listener: () => void) => void }} Lock
 * @typedef {object} Platform
 * @property {() => Promise<Lock>} ask  refused when the battery is low or the page is hidden
 * @property {(done: () => void, ms: number) => unknown} after
 * @property {(timer: any) => void} forget
 */

/** @param {Platform} platform */
export function keeper({ ask, after, forget }) {
  /** @type {Lock | null} */
  let lock = null;
  /** @type {unknown} */
  let timer = null;
  let [hasFocus, isAsking] = [false, false];
  const isWanted = () => hasFocus || timer !== null;

  const letGo = () => {
    const held = lock;
    lock = null;
    held?.release().catch(() => {});
  };
  const hold = async () => {
    if (lock || isAsking || !isWanted()) return;
    isAsking = true;
    const got = await ask().catch(() => null);
    isAsking = false;
    // The system takes it back when the page is hidden; then it is asked for again.
    got?.addEventListener('release', () => { if (lock === got) lock = null; });
    lock = got;
    if (!isWanted()) letGo();
  };
  const stop = () => {
    if (timer !== null) forget(timer);
    timer = null;
  };
  const touched = () => {
    stop();
    timer = after(() => {
      timer = null;
      if (!hasFocus) letGo();
    }, TOUCHED_MS);
    return hold();
  };
  return {
    touched,
    /** @param {boolean} has  whether a field of a reading has the focus */
    focused(has) {
      hasFocus = has;
      return touched();
    },
    /** Saved or closed. */
    done() {
      hasFocus = false;
      stop();
      letGo();
    },
    /** The page is seen again. */
    seen: hold,
  };
}

/** @param {EventTarget | null} target */
const isFigure = (target) => target instanceof HTMLInputElement && target.inputMode === 'decimal';

/** One for the page: only one step is open. @type {ReturnType<typeof keeper> | null} */
let page = null;

function pageKeeper() {
  if (page) return page;
  const made = keeper({
    ask: () => navigator.wakeLock.request('screen'),
    after: setTimeout,
    forget: clearTimeout,
  });
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') made.seen();
  });
  page = made;
  return made;
}

/** @param {HTMLFormElement} form  with `data-step`; those without a figure are left alone */
export function wireAwake(form) {
  if (!('wakeLock' in navigator) || !Array.from(form.elements).some(isFigure)) return;
  const screen = pageKeeper();
  form.addEventListener('focusin', ({ target }) => screen.focused(isFigure(target)));
  form.addEventListener('focusout', () => screen.focused(false));
  for (const type of ['input', 'pointerdown']) form.addEventListener(type, () => screen.touched());
  form.addEventListener('submit', (event) => (event.defaultPrevented ? screen.touched() : screen.done()));
  const fold = form.closest('details');
  fold?.addEventListener('toggle', () => (fold.open ? screen.touched() : screen.done()));
}
