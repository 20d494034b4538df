// @ts-check
/**
 * The worker: registered, and changed for a newer one when the person says so. Nothing that waits to be sent
 * lies in it, so no entry can be lost by that.
 */

/** Trusted Types: the one address that may become a worker. */
function workerAddress() {
  const types = /** @type {any} */ (globalThis).trustedTypes;
  if (!types) return '/sw.js';
  return types.createPolicy('worker', { createScriptURL: () => '/sw.js' }).createScriptURL('');
}

/** @param {ServiceWorker} waiting */
function offer(waiting) {
  const region = document.querySelector('#main [role="status"]');
  if (!region || region.querySelector('[data-update]')) return;
  const words = document.createElement('p');
  words.className = 'notice notice--plain notice--page';
  words.dataset.update = '';
  const button = document.createElement('button');
  button.type = 'button';
  button.className = 'button button--small cut';
  button.textContent = 'Use it now';
  button.addEventListener('click', () => waiting.postMessage('go'));
  const text = document.createElement('span');
  text.append('A new version is ready. What is recorded on this phone stays. ', button);
  words.append(text);
  region.append(words);
}

export async function startWorker() {
  if (!('serviceWorker' in navigator)) return;
  const had = Boolean(navigator.serviceWorker.controller);
  const registration = await navigator.serviceWorker.register(workerAddress(), { type: 'module', updateViaCache: 'none' });
  let isReloading = false;
  navigator.serviceWorker.addEventListener('controllerchange', () => {
    // The first worker takes over a page that was loaded without one: nothing to change there.
    if (!had || isReloading) return;
    isReloading = true;
    location.reload();
  });
  const look = () => registration.waiting && navigator.serviceWorker.controller && offer(registration.waiting);
  look();
  registration.addEventListener('updatefound', () => registration.installing?.addEventListener('statechange', look));
  await navigator.serviceWorker.ready;
  // An extra of some browsers: sending goes on when signal is back and no page is open.
  await /** @type {any} */ (registration).sync?.register('outbox').catch(() => {});
}
