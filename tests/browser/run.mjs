// @ts-check
/**
 * Starts the demo on a free loopback port, runs every journey in Chromium with scripts and without,
 * prints what became of each, and ends only what it started.
 */

import { spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

const PROGRAM = process.env.FUSEWRIGHT_PROGRAM ?? 'target/debug/fusewright';
const CHROMIUM = process.env.FUSEWRIGHT_CHROMIUM ?? '/usr/bin/chromium';
const START_MS_MAX = 240_000;
const FLAGS = ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
  '--disable-background-networking', '--disable-component-update', '--disable-sync'];
const PHONE = { width: 390, height: 844 };

/** @returns {Promise<number>} */
const freePort = () => new Promise((resolve) => {
  const probe = createServer().listen(0, '127.0.0.1', () => {
    const address = probe.address();
    probe.close(() => resolve(typeof address === 'object' && address ? address.port : 0));
  });
});

/** The demo says its password and people once it is ready. @param {string} told */
function signInsFrom(told) {
  const password = /Password:\s+(.+?)(?:\s+\(|\n)/.exec(told)?.[1];
  /** @param {string} role */
  const who = (role) => {
    const name = new RegExp(`sign in as (\\S+)\\s+.*, ${role}`).exec(told)?.[1];
    if (!name || !password) throw new Error(`the demo names no ${role}:\n${told}`);
    return { name, password };
  };
  return { owner: who('owner'), manager: who('manager'), technician: who('technician') };
}

/** @param {string} folder @param {number} port */
async function startDemo(folder, port) {
  const demo = spawn(PROGRAM, ['demo', '--data', folder, '--listen', `127.0.0.1:${port}`]);
  let told = '';
  demo.stdout.on('data', (part) => { told += part; });
  demo.stderr.on('data', (part) => { told += part; });
  const until = Date.now() + START_MS_MAX;
  while (!told.includes('Stop with Ctrl-C')) {
    if (demo.exitCode !== null || Date.now() > until) throw new Error(`the demo did not start:\n${told}`);
    await new Promise((resolve) => { setTimeout(resolve, 200); });
  }
  return { demo, told };
}

const folder = mkdtempSync(join(tmpdir(), 'fusewright-browser-'));
const port = await freePort();
const { demo, told } = await startDemo(join(folder, 'data'), port);
const browser = await chromium.launch({ executablePath: CHROMIUM, args: FLAGS });
let failed = 0;
try {
  const journeys = readdirSync(new URL('journeys/', import.meta.url));
  for (const file of journeys) {
    const journey = await import(new URL(`journeys/${file}`, import.meta.url).href);
    if (!journey.run) continue;
    for (const javascript of [true, false]) {
      const name = `${journey.title}, ${javascript ? 'with' : 'without'} scripts`;
      const began = Date.now();
      try {
        const base = `http://127.0.0.1:${port}`;
        const words = await journey.run({ browser, base, signIns: signInsFrom(told), javascript, size: PHONE });
        console.log(`ok    ${name} (${words}, ${Math.round((Date.now() - began) / 1000)} s)`);
      } catch (error) {
        failed += 1;
        console.log(`FAIL  ${name}\n${error instanceof Error ? error.stack : error}`);
      }
    }
  }
} finally {
  await browser.close();
  demo.kill('SIGTERM');
  await new Promise((resolve) => { demo.once('exit', resolve); });
  rmSync(folder, { recursive: true, force: true });
}
process.exitCode = failed === 0 ? 0 : 1;
