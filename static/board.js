// @ts-check
/**
 * The plan board by hand: cards are dragged to a person and a day, or carried there with the arrow keys. Either
 * way the form that the page has is sent; the server answers with the board as it is then.
 */

const KEYS = 'Drag a card to a person and a day. With the keyboard: space picks the card up that has the focus, '
  + 'arrows carry it, Enter puts it down, Escape leaves it.';

/**
 * Where the arrows lead from a cell; it stays where the board ends.
 * @param {string} key @param {{ row: number, column: number }} at @param {{ rows: number, columns: number }} size
 */
export function step(key, at, size) {
  const [down, right] = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] }[key] ?? [0, 0];
  const within = (/** @type {number} */ value, /** @type {number} */ count) => Math.max(0, Math.min(count - 1, value));
  return { row: within(at.row + down, size.rows), column: within(at.column + right, size.columns) };
}

/** @param {HTMLFormElement} form @param {HTMLElement} card @param {HTMLElement} cell */
function send(form, card, cell) {
  const put = (/** @type {string} */ name, /** @type {string | undefined} */ value) => {
    /** @type {HTMLInputElement} */ (form.elements.namedItem(name)).value = value ?? '';
  };
  put('technician', cell.dataset.person);
  put('day', cell.dataset.day);
  put('saw', card.dataset.saw);
  form.action = card.dataset.action ?? '';
  form.requestSubmit();
}

/** @param {HTMLElement} board */
export function wireBoard(board) {
  const form = /** @type {HTMLFormElement} */ (board.querySelector('[data-board-form]'));
  const words = /** @type {HTMLElement} */ (board.querySelector('[data-board-words]'));
  const rows = Array.from(board.querySelectorAll('tbody tr'))
    .map((row) => /** @type {HTMLElement[]} */ (Array.from(row.querySelectorAll('[data-cell]'))));
  const cells = rows.flat();
  /** @type {HTMLElement | null} */
  let card = null;
  let at = { row: 0, column: 0 };

  const say = (/** @type {string} */ text) => { words.textContent = text; };
  const name = () => card?.querySelector('b')?.textContent ?? '';
  const target = (/** @type {HTMLElement | undefined} */ cell) => {
    for (const other of cells) other.toggleAttribute('data-target', other === cell);
  };
  const leave = () => {
    card?.removeAttribute('data-picked');
    card = null;
    target(undefined);
  };
  const put = (/** @type {HTMLElement | undefined} */ cell) => {
    if (card && cell) send(form, card, cell);
    leave();
  };
  const pick = (/** @type {HTMLElement} */ picked) => {
    leave();
    card = picked;
    card.setAttribute('data-picked', '');
    const row = rows.findIndex((all) => all.some((cell) => cell.contains(picked)));
    const column = row < 0 ? 0 : rows[row].findIndex((cell) => cell.contains(picked));
    at = { row: Math.max(0, row), column };
  };
  const carry = () => {
    const cell = rows[at.row][at.column];
    target(cell);
    cell.scrollIntoView({ block: 'nearest', inline: 'nearest' });
    say(`${name()}: ${cell.dataset.label}. Enter puts it there, Escape leaves it.`);
  };

  /** @param {KeyboardEvent} event @param {HTMLElement} own */
  function press(event, own) {
    if (event.key === ' ' && card !== own) {
      pick(own);
      carry();
    } else if (card !== own) {
      return;
    } else if (event.key.startsWith('Arrow')) {
      at = step(event.key, at, { rows: rows.length, columns: rows[0].length });
      carry();
    } else if (event.key === 'Enter') {
      put(rows[at.row][at.column]);
    } else if (event.key === 'Escape') {
      leave();
      say('Left where it was.');
    } else {
      return;
    }
    event.preventDefault();
  }

  for (const own of /** @type {NodeListOf<HTMLElement>} */ (board.querySelectorAll('[data-card]'))) {
    own.draggable = true;
    const link = /** @type {HTMLElement} */ (own.querySelector('a'));
    link.draggable = false;
    link.addEventListener('keydown', (event) => press(event, own));
    link.addEventListener('blur', leave);
    own.addEventListener('dragstart', (event) => {
      pick(own);
      event.dataTransfer?.setData('text/plain', name());
    });
    own.addEventListener('dragend', leave);
  }
  for (const cell of cells) {
    cell.addEventListener('dragover', (event) => {
      if (!card) return;
      event.preventDefault();
      target(cell);
    });
    cell.addEventListener('drop', (event) => {
      event.preventDefault();
      put(cell);
    });
  }
  if (rows.length > 0) {
    words.hidden = false;
    say(KEYS);
  }
  const moved = location.hash.startsWith('#j-') ? document.getElementById(location.hash.slice(1)) : null;
  const focus = () => moved?.querySelector('a')?.focus();
  // After the browser's own jump to the fragment, which would take the focus away again.
  if (document.readyState === 'complete') focus();
  else window.addEventListener('load', focus);
}
