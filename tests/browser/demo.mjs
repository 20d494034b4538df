// @ts-check
/**
 * Starts the demo on a free loopback port and Chromium beside it, for the journeys and the pictures,
 * and ends only what it started.
 */

import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

export const PROGRAM = process.env.FUSEWRIGHT_PROGRAM ?? 'target/debug/fusewright';
export const CHROMIUM = process.env.FUSEWRIGHT_CHROMIUM ?? '/usr/bin/chromium';
const START_MS_MAX = 240_000;
export const FLAGS = ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
  '--disable-background-networking', '--disable-component-update', '--disable-sync'];

export const PHONE = { width: 390, height: 844 };
export const DESK = { width: 1280, height: 800 };

/**
 * @typedef {{ name: string, password: string }} SignIn
 * @typedef {object} Stage
 * @property {import('playwright-core').Browser} browser
 * @property {string} base  address of the demo
 * @property {Record<'owner' | 'manager' | 'technician', SignIn>} signIns
 */

/** Address of a job, from the list. @param {import('playwright-core').Page} page @param {string} base @param {number} number */
export async function addressOf(page, base, number) {
  await page.goto(`${base}/jobs?find=${number}`);
  const isNumber = page.locator('.job-row__number', { hasText: new RegExp(`^${number}$`) });
  const href = await page.locator('.job-row').filter({ has: isNumber }).getAttribute('href');
  const job = /^\/jobs\/[^/]+/.exec(href ?? '');
  if (!job) throw new Error(`the demo has no job ${number}`);
  return base + job[0];
}

/** The demo says its password and people once it is ready. @param {string} told @param {string} role @returns {SignIn[]} */
export function signInsOf(told, role) {
  const password = /Password:\s+(.+?)(?:\s+\(|\n)/.exec(told)?.[1];
  const names = Array.from(told.matchAll(new RegExp(`sign in as (\\S+)\\s+.*, ${role}`, 'g')), ([, name]) => name);
  if (names.length === 0 || !password) throw new Error(`the demo names no ${role}:\n${told}`);
  return names.map((name) => ({ name, password }));
}

/** @param {string} told */
function signInsFrom(told) {
  const [[owner], [manager], [technician]] = ['owner', 'manager', 'technician'].map((role) => signInsOf(told, role));
  return { owner, manager, technician };
}

/** The program refuses variables of its own name that it does not know; these here are the tests'. */
export const environment = Object.fromEntries(
  Object.entries(process.env).filter(([name]) => !name.startsWith('FUSEWRIGHT_')),
);

/**
 * Starts the program and waits until it answers.
 * @param {string[]} words  its command line
 */
export async function startProgram(words) {
  const running = spawn(PROGRAM, words, { env: environment });
  let told = '';
  running.stdout.on('data', (part) => { told += part; });
  running.stderr.on('data', (part) => { told += part; });
  running.on('error', (error) => { told += `${PROGRAM}: ${error.message}; cargo build makes it\n`; });
  const until = Date.now() + START_MS_MAX;
  while (!told.includes('Stop with Ctrl-C')) {
    const ended = running.exitCode !== null || running.pid === undefined;
    if (ended || Date.now() > until) {
      running.kill();
      throw new Error(`the program did not start:\n${told}`);
    }
    await new Promise((resolve) => { setTimeout(resolve, 50); });
  }
  /** @param {NodeJS.Signals} [signal] */
  const end = (signal = 'SIGTERM') => new Promise((resolve) => {
    if (running.exitCode !== null || running.signalCode !== null) return resolve(undefined);
    running.once('exit', resolve);
    return running.kill(signal);
  });
  return { told, base: /Open:\s+(\S+)/.exec(told)?.[1] ?? '', end };
}

/** Makes the demo in a folder, which stays. @param {string} folder */
export const startDemo = (folder) => startProgram(['demo', '--data', folder, '--listen', '127.0.0.1:0']);

/** Gives the demo and a browser to `use`, and ends both. @param {(stage: Stage) => Promise<void>} use */
export async function onStage(use) {
  const folder = mkdtempSync(join(tmpdir(), 'fusewright-browser-'));
  const browser = await chromium.launch({ executablePath: CHROMIUM, args: FLAGS });
  try {
    const { told, base, end } = await startDemo(join(folder, 'data'));
    try {
      await use({ browser, base, signIns: signInsFrom(told) });
    } finally {
      await end();
    }
  } finally {
    await browser.close();
    rmSync(folder, { recursive: true, force: true });
  }
}
