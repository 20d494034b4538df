// @ts-check
/**
 * Compares a file with the digest in the register, in the browser: the file does not leave the
 * device. Only the same bytes are the issued paper.
 */

const FILE_BYTES_MAX = 50 * 1024 * 1024;

/** @param {ArrayBuffer} bytes */
export async function digestOf(bytes) {
  const digest = await crypto.subtle.digest('SHA-256', bytes);
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** @param {HTMLElement} block  `data-verify` is the digest; hidden until wired; holds a file input and an output */
export function wireVerify(block) {
  const input = block.querySelector('input[type="file"]');
  const output = block.querySelector('output');
  if (!(input instanceof HTMLInputElement) || !output || !globalThis.crypto?.subtle) return;
  block.hidden = false;
  input.addEventListener('change', async () => {
    const file = input.files?.[0];
    if (!file) return;
    if (file.size > FILE_BYTES_MAX) {
      output.textContent = 'This file is far larger than a certificate.';
      return;
    }
    const same = await digestOf(await file.arrayBuffer()) === block.dataset.verify;
    output.className = `mark mark--large mark--${same ? 'pass' : 'fail'}`;
    output.textContent = same
      ? 'Yes: this file is the issued certificate, byte for byte.'
      : 'No: this file is not the issued certificate.';
  });
}
