// @ts-check
/**
 * Cards of the board by hand and by keys: a card that is let go over a day, or moved by Shift and an arrow, is
 * sent as its form would be, and the answered board takes the place of this one.
 */

import { askPage, takeParts } from './page-parts.js';

/** Less than this is a press and no drag [CSS px]. */
const DRAG_PX = 6;

/** @typedef {{ day: string, person: string }} Place */

/** @param {HTMLElement} board */
export function wireBoard(board) {
  const told = /** @type {HTMLElement} */ (board.querySelector('[data-told]'));
  /** @param {HTMLElement} card @returns {Place} */
  const placeOf = (card) => ({ day: card.dataset.day ?? '', person: card.dataset.person ?? '' });
  /** @param {Element | null} at @returns {HTMLElement | null} */
  const cellAt = (at) => at?.closest('[data-cell]') ?? null;
  /** @param {string} id @returns {HTMLElement | null} */
  const cardOf = (id) => board.querySelector(`[data-card="${CSS.escape(id)}"]`);

  /** @param {HTMLElement} card @param {Place} to */
  async function move(card, to) {
    const { card: id = '', hours = '', seen = '', person: was = '' } = card.dataset;
    const from = placeOf(card);
    if (from.day === to.day && from.person === to.person) return;
    const typed = new URLSearchParams({ week: board.dataset.board ?? '', seen, was, hours, ...to });
    let answer = null;
    try {
      answer = await askPage('POST', `/board/${id}`, typed);
    } catch {
      // No signal: told below, and the card stays where it was.
    }
    if (!answer) {
      told.textContent = 'Not moved: the server could not be reached. Try again.';
      return;
    }
    takeParts(answer, document, ['board']);
    const refused = answer.querySelector('.errors__list')?.textContent;
    const now = cardOf(id);
    told.textContent = refused ?? `Job ${now?.querySelector('.card__number')?.textContent ?? ''}: ${words(to)}`;
    now?.querySelector('a')?.focus();
  }

  /** @param {Place} to */
  function words({ day, person }) {
    if (!day) return 'without a day.';
    const cell = board.querySelector(`td[data-day="${day}"][data-person="${CSS.escape(person)}"]`);
    const name = cell?.parentElement?.querySelector('th')?.textContent ?? '';
    return `${cell instanceof HTMLElement ? cell.dataset.label : day}, ${name}.`;
  }

  /** The cell that an arrow leads to. @param {HTMLElement} card @param {string} key @returns {Place | null} */
  function beside(card, key) {
    const rows = Array.from(board.querySelectorAll('.board tbody tr'), (row) => Array.from(row.querySelectorAll('td')));
    const here = cellAt(card);
    const row = rows.findIndex((cells) => cells.some((cell) => cell === here));
    const column = rows[row]?.findIndex((cell) => cell === here) ?? -1;
    const [down, right] = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] }[key] ?? [0, 0];
    // From without a day the first step leads onto the board, and up from its first row off it again.
    const to = row < 0 ? rows[rows.length - 1]?.[0] : rows[row + down]?.[column + right];
    return to ? placeOf(to) : null;
  }

  board.addEventListener('keydown', (event) => {
    const card = /** @type {HTMLElement} */ (event.target).closest('[data-card]');
    if (!(card instanceof HTMLElement) || !event.shiftKey || !event.key.startsWith('Arrow')) return;
    event.preventDefault();
    const to = beside(card, event.key);
    if (to) move(card, to);
  });

  board.addEventListener('pointerdown', (down) => {
    const card = /** @type {HTMLElement} */ (down.target).closest('[data-card]');
    if (!(card instanceof HTMLElement) || down.button !== 0 || down.pointerType === 'touch') return;
    drag(card, down);
  });
  board.addEventListener('dragstart', (event) => event.preventDefault());

  /** @param {HTMLElement} card @param {PointerEvent} down */
  function drag(card, down) {
    /** @type {HTMLElement | null} */
    let ghost = null;
    /** @type {HTMLElement | null} */
    let over = null;
    const ends = new AbortController();
    /** @param {HTMLElement | null} cell */
    const mark = (cell) => {
      over?.classList.remove('board__over');
      cell?.classList.add('board__over');
      over = cell;
    };
    const on = /** @param {string} name @param {(event: PointerEvent) => void} act */ (name, act) => {
      document.addEventListener(name, /** @type {EventListener} */ (act), { signal: ends.signal });
    };
    const end = () => {
      ends.abort();
      mark(null);
      ghost?.remove();
      card.classList.remove('card--lifted');
    };
    on('pointermove', (event) => {
      if (!ghost && Math.hypot(event.clientX - down.clientX, event.clientY - down.clientY) < DRAG_PX) return;
      if (!ghost) {
        ghost = /** @type {HTMLElement} */ (card.cloneNode(true));
        ghost.classList.add('card--ghost');
        card.classList.add('card--lifted');
        document.body.append(ghost);
      }
      ghost.style.left = `${event.clientX + 8}px`;
      ghost.style.top = `${event.clientY + 8}px`;
      mark(cellAt(document.elementFromPoint(event.clientX, event.clientY)));
    });
    on('pointerup', () => {
      const [cell, moved] = [over, ghost !== null];
      end();
      // A press opens the card's form; the click that ends a drag opens nothing.
      if (moved) board.addEventListener('click', (click) => click.preventDefault(), { once: true, capture: true });
      if (moved && cell) move(card, placeOf(cell));
    });
    on('pointercancel', end);
  }

  const keys = /** @type {HTMLElement | null} */ (board.querySelector('[data-board-keys]'));
  if (keys) keys.hidden = false;
}
