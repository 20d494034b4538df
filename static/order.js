// @ts-check
/**
 * Order by tapping: the first row tapped becomes 1, the next 2. Tapping a row again takes it and all
 * later ones back. The selects stay the fields that are sent; without script they are used directly.
 */

/**
 * The places after a tap on `row`. A place is its number, or 0.
 * @param {number[]} places
 * @param {number} row
 */
export function placesAfterTap(places, row) {
  const place = places[row];
  if (place > 0) return places.map((other) => (other >= place ? 0 : other));
  const next = Math.max(0, ...places) + 1;
  return places.map((other, at) => (at === row ? next : other));
}

/** @param {Element} group  holds the rows, each with one select */
export function wireOrder(group) {
  const rows = Array.from(group.querySelectorAll('[data-order-row]'), (row) => {
    const select = /** @type {HTMLSelectElement} */ (row.querySelector('select'));
    return { row, select, button: tapButton(row, select) };
  });
  const draw = () => {
    for (const { row, select, button } of rows) {
      row.classList.toggle('order__row--placed', select.value !== '');
      button.textContent = select.value || '\u2013';
    }
  };
  rows.forEach(({ button }, at) => button.addEventListener('click', () => {
    const places = rows.map(({ select }) => Number(select.value));
    placesAfterTap(places, at).forEach((place, row) => {
      rows[row].select.value = place > 0 ? String(place) : '';
    });
    draw();
    group.dispatchEvent(new Event('input', { bubbles: true }));
  }));
  draw();
}

/** @param {Element} row @param {HTMLSelectElement} select */
function tapButton(row, select) {
  const button = document.createElement('button');
  button.type = 'button';
  button.className = 'order__place order__tap';
  const name = row.querySelector('[data-order-name]');
  if (name?.id) button.setAttribute('aria-describedby', name.id);
  select.before(button);
  select.hidden = true;
  // A hidden field that is required could not say so; the server checks that all are placed.
  select.required = false;
  return button;
}
