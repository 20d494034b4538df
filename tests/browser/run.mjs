// @ts-check
/**
 * Starts the demo on a free loopback port, runs every journey in Chromium with scripts and without,
 * prints what became of each, and ends only what it started.
 */

import { spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

const PROGRAM = process.env.FUSEWRIGHT_PROGRAM ?? 'target/debug/fusewright';
const CHROMIUM = process.env.FUSEWRIGHT_CHROMIUM ?? '/usr/bin/chromium';
const START_MS_MAX = 240_000;
const FLAGS = ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
  '--disable-background-networking', '--disable-component-update', '--disable-sync'];
const PHONE = { width: 390, height: 844 };

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

/** The program refuses variables of its own name that it does not know; these here are the tests'. */
const environment = Object.fromEntries(
  Object.entries(process.env).filter(([name]) => !name.startsWith('FUSEWRIGHT_')),
);

/** @param {string} folder */
async function startDemo(folder) {
  const demo = spawn(PROGRAM, ['demo', '--data', folder, '--listen', '127.0.0.1:0'], { env: environment });
  let told = '';
  demo.stdout.on('data', (part) => { told += part; });
  demo.stderr.on('data', (part) => { told += part; });
  demo.on('error', (error) => { told += `${PROGRAM}: ${error.message}; cargo build makes it\n`; });
  const until = Date.now() + START_MS_MAX;
  while (!told.includes('Stop with Ctrl-C')) {
    const ended = demo.exitCode !== null || demo.pid === undefined;
    if (ended || Date.now() > until) {
      demo.kill();
      throw new Error(`the demo did not start:\n${told}`);
    }
    await new Promise((resolve) => { setTimeout(resolve, 200); });
  }
  const base = /Open:\s+(\S+)/.exec(told)?.[1] ?? '';
  return { demo, told, base };
}

const folder = mkdtempSync(join(tmpdir(), 'fusewright-browser-'));
const { demo, told, base } = await startDemo(join(folder, 'data'));
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
