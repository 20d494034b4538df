// @ts-check
/** Runs every journey in each of its ways, prints what became of each, and fails if one did. */

import { readdirSync } from 'node:fs';
import { onStage } from './demo.mjs';

/**
 * How a journey is walked: on what, and whether scripts run.
 * @typedef {{ name: string, size: { width: number, height: number }, javascript: boolean }} Way
 * @typedef {import('./demo.mjs').Stage & Way} Given
 */

let failed = 0;

/** @param {string} name @param {() => Promise<string>} walk */
async function told(name, walk) {
  const began = Date.now();
  try {
    const words = await walk();
    console.log(`ok    ${name} (${words}, ${Math.round((Date.now() - began) / 1000)} s)`);
  } catch (error) {
    failed += 1;
    console.log(`FAIL  ${name}\n${error instanceof Error ? error.stack : error}`);
  }
}

await onStage(async (stage) => {
  for (const file of readdirSync(new URL('journeys/', import.meta.url))) {
    const journey = await import(new URL(`journeys/${file}`, import.meta.url).href);
    for (const way of journey.ways ?? []) {
      await told(`${journey.title}, ${way.name}`, () => journey.run({ ...stage, ...way }));
    }
  }
});
// At once: what a failed journey left open would keep the run from ending.
process.exit(failed === 0 ? 0 : 1);
