// @ts-check
/**
 * A hand on the phone: fills the form of whatever step is open, as a technician would with the kit's
 * paper beside it. Nothing here looks behind the page.
 */

/**
 * What the paper says: fuse ratings by circuit title, terminals left to right.
 * @typedef {{ fuses: Record<string, string>, terminals: string[] }} Paper
 * @typedef {import('playwright-core').Page} Page
 * @typedef {import('playwright-core').Locator} Locator
 */

/** @param {Page} page @param {string} base @param {{ name: string, password: string }} who */
export async function signIn(page, base, who) {
  await page.goto(`${base}/sign-in`);
  await page.locator('input[name="name"]').fill(who.name);
  await page.locator('input[name="password"]').fill(who.password);
  await page.locator('button:not([type="button"])').last().click();
  await page.waitForURL(/\/jobs/);
}

/** Picks the first instrument in date whose ranges hold the figure. @param {Locator} form @param {string} name @param {number} value @param {boolean} isWrench */
async function takeInstrument(form, name, value, isWrench = false) {
  const select = form.locator(`select[name="${name}"]`);
  const options = await select.evaluate((field) => {
    const ranges = JSON.parse(document.getElementById('ranges')?.textContent ?? '{}');
    const unit = field.getAttribute('data-ranges') ?? '';
    return [.../** @type {HTMLSelectElement} */ (field).options]
      .map(({ value, text }) => ({ value, text, rows: ranges[value]?.[unit] ?? [] }));
  });
  const fits = options.find(({ text, rows }) => {
    const top = Math.max(...rows.map((/** @type {string[]} */ row) => Number(row[1])));
    const inRange = rows.some((/** @type {string[]} */ row) => Number(row[0]) <= value && value <= Number(row[1]));
    return /in date|calibration ends/.test(text) && inRange && (!isWrench || value >= top / 5);
  });
  if (!fits) throw new Error(`no instrument in date for ${value}: ${options.map((o) => o.text).join('; ')}`);
  const fold = select.locator('xpath=ancestor::details[1]');
  if (!(await fold.evaluate((d) => /** @type {HTMLDetailsElement} */ (d).open))) {
    await fold.locator('summary').click();
  }
  await select.selectOption(fits.value);
}

/** @param {string | null} lower @param {string | null} upper */
function middle(lower, upper) {
  const decimals = Math.max(...[lower, upper].map((limit) => (limit ?? '').split('.')[1]?.length ?? 0), 1);
  const low = lower ? Number(lower) : null;
  const high = upper ? Number(upper) : null;
  const value = low !== null && high !== null ? (low + high) / 2 : low !== null ? low * 1.3 : (high ?? 0) * 0.6;
  return value.toFixed(Math.min(decimals + 1, 3));
}

/**
 * Fills the open step; does not save.
 * @param {Locator} form @param {Paper} paper @param {string} title @param {Buffer} photo
 */
export async function fill(form, paper, title, photo) {
  const kind = await form.getAttribute('data-kind');
  if (kind === 'confirm') await form.locator('input[name="value"]').check();
  if (kind === 'note') await form.locator('textarea[name="value"]').fill('none');
  if (kind === 'photo') {
    await form.locator('input[name="photo"]').setInputFiles({ name: 'photo.jpg', mimeType: 'image/jpeg', buffer: photo });
  }
  if (kind === 'fuse') {
    const circuit = title.split(': ')[1];
    await form.locator('label', { hasText: new RegExp(`^${paper.fuses[circuit]}$`) }).click();
  }
  if (kind === 'order') {
    const rows = form.locator('[data-order-row]');
    const names = (await rows.locator('[data-order-name]').evaluateAll(
      (all) => all.map((name) => name.firstChild?.textContent?.trim() ?? ''),
    ));
    const isTapped = !(await rows.first().locator('select').isVisible());
    for (const [place, label] of paper.terminals.entries()) {
      const row = rows.nth(names.indexOf(label));
      if (isTapped) await row.click();
      else await row.locator('select').selectOption(String(place + 1));
    }
  }
  if (kind === 'reading' || kind === 'torque') {
    const value = middle(await form.getAttribute('data-lower'), await form.getAttribute('data-upper'));
    await takeInstrument(form, 'instrument', Math.abs(Number(value)), kind === 'torque');
    await form.locator('input[name="value"]').fill(value);
  }
  if (kind === 'ratio') {
    const limit = Number(await form.getAttribute('data-limit-milliohm'));
    const planned = await form.locator('.reading__label', { hasText: 'planned for' }).textContent();
    const current = Number(/planned for ([\d.]+)/.exec(planned ?? '')?.[1]) * 0.9;
    const drop = (limit * 0.8 * current) / 1000;
    await takeInstrument(form, 'instrument', drop);
    await takeInstrument(form, 'current_instrument', current);
    await form.locator('input[name="value"]').fill(drop.toFixed(4));
    await form.locator('input[name="current"]').fill(current.toFixed(1));
  }
  if (kind === 'solar_open') {
    const cell = 38.5;
    const given = async (/** @type {string} */ name) => Number(await form.getAttribute(`data-${name}`));
    const rise = ((await given('percent-per-k')) * (cell - 25)) / 100;
    const volts = (await given('string-voc-v')) * (1 + rise) * 0.99;
    await takeInstrument(form, 'instrument', volts);
    await takeInstrument(form, 'thermometer', cell);
    await form.locator('input[name="value"]').fill(volts.toFixed(2));
    await form.locator('input[name="cell"]').fill(cell.toFixed(1));
  }
}

/** A small picture, taken from the page itself. @param {Page} page */
export const picture = (page) => page.screenshot({ type: 'jpeg', clip: { x: 0, y: 0, width: 240, height: 180 } });

/** The page's scripts have put back what was typed. @param {Page} page */
export const isWired = (page) => page.waitForFunction(() => performance.getEntriesByName('wired').length > 0);
