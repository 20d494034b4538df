// @ts-check
/** The program's own files on this phone, one cache for each build, whole or not at all. */

// In attributes only: what people write cannot hold the quotation mark, and may hold an address.
const ASSET = /="\/a\/([0-9a-f]+)\//g;

/** @param {string} build */
export const shellOf = (build) => `shell-${build}`;

/** @param {string} html @returns {string[]} */
export const buildsIn = (html) => [...new Set(Array.from(html.matchAll(ASSET), ([, build]) => build))];

/**
 * What the server has at an address, and not what somebody in between answers with: a shell is kept for as long
 * as its build, and one welcome page in it would be a part of the program that never works.
 * @param {string} address @param {(answer: Response, text: () => Promise<string>) => boolean | Promise<boolean>} isOurs
 */
export async function fetched(address, isOurs) {
  const answer = await fetch(address, { cache: 'reload' });
  const text = () => answer.clone().text();
  if (answer.status === 200 && !answer.redirected && (await isOurs(answer, text))) return answer;
  throw new Error(`${address} was answered by somebody else`);
}

/** @param {Response} answer @param {string} type */
export const isOfType = (answer, type) => (answer.headers.get('content-type') ?? '').startsWith(type);

/**
 * Keeps the files of a build, and pages of the program that belong to nobody: all or nothing.
 * @param {string} build @param {string[]} [pages]
 */
export async function keepShell(build, pages = []) {
  const shell = await caches.open(shellOf(build));
  const name = `/a/${build}/list.json`;
  if (pages.length === 0 && (await shell.match(name))) return;
  const list = await fetched(name, (answer) => isOfType(answer, 'application/json'));
  /** @type {string[]} */
  const files = await list.clone().json();
  // The program has no page among its files; its own pages name them.
  const kept = await Promise.all([
    ...files.map(async (file) => ({ file, answer: await fetched(file, (answer) => !isOfType(answer, 'text/html')) })),
    ...pages.map(async (file) => ({ file, answer: await fetched(file, async (_, text) => (await text()).includes(`/a/${build}/`)) })),
  ]);
  await Promise.all(kept.map(({ file, answer }) => shell.put(file, answer)));
  await shell.put(name, list);
}

/** Shells that neither this build nor any kept page needs. @param {string} build */
export async function dropOldShells(build) {
  const names = await caches.keys();
  const needed = new Set([shellOf(build)]);
  for (const name of names.filter((any) => any.startsWith('pages-'))) {
    const pages = await caches.open(name);
    for (const request of await pages.keys()) {
      const page = await pages.match(request);
      for (const used of buildsIn((await page?.text()) ?? '')) needed.add(shellOf(used));
    }
  }
  const old = names.filter((name) => name.startsWith('shell-') && !needed.has(name));
  await Promise.all(old.map((name) => caches.delete(name)));
}
