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

const PROGRAM = process.env.FUSEWRIGHT_PROGRAM ?? 'target/debug/fusewright';
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
  return { demo, told, base: /Open:\s+(\S+)/.exec(told)?.[1] ?? '' };
}

/** Gives the demo and a browser to `use`, and ends both. @param {(stage: Stage) => Promise<void>} use */
export async function onStage(use) {
  const folder = mkdtempSync(join(tmpdir(), 'fusewright-browser-'));
  const browser = await chromium.launch({ executablePath: CHROMIUM, args: FLAGS });
  try {
    const { demo, told, base } = await startDemo(join(folder, 'data'));
    try {
      await use({ browser, base, signIns: signInsFrom(told) });
    } finally {
      demo.kill('SIGTERM');
      await new Promise((resolve) => { demo.once('exit', resolve); });
    }
  } finally {
    await browser.close();
    rmSync(folder, { recursive: true, force: true });
  }
}
