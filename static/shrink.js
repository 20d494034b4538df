// @ts-check
import { digestOf } from './verify.js';
/** @param {File} file @returns {Promise<{ sha256: string, jpeg: ArrayBuffer } | { fault: string }>} */
export async function shrink(file) {
  const jpeg = await file.arrayBuffer();
  return { jpeg, sha256: await digestOf(jpeg) };
}
