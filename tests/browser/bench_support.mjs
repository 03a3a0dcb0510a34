// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// What the browser tests share: a bench on a folder of its own, a page in Chromium. Run by ctest with FAIRHOLE_PROGRAM set.
import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after } from 'node:test';
import { chromium } from 'playwright-core';

export const kProgram = process.env.FAIRHOLE_PROGRAM;
export const kSource = new URL('../..', import.meta.url).pathname;
const kAxe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
let browser;
const folders = [];
const benches = [];

const chrome = () => { browser ??= chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] }); return browser; };
after(async () => {
  await (await browser)?.close();
  for (const bench of benches) bench.kill();
  for (const folder of folders) rmSync(folder, { recursive: true, force: true });
});

export function newFolder(job) {
  const folder = mkdtempSync(join(tmpdir(), 'fairhole-bench-'));
  folders.push(folder);
  if (job) cpSync(join(kSource, 'fixtures/jobs', job), folder, { recursive: true });
  return folder;
}

/// A bench on the folder; resolves to its address once it says it, with all that it said.
export function start(folder, ...words) {
  const bench = spawn(kProgram, ['bench', folder, ...words]);
  benches.push(bench);
  return new Promise((resolve, reject) => {
    let said = '';
    bench.stdout.on('data', (text) => {
      said += text;
      const address = /http:\S+/.exec(said)?.[0];
      if (address && /Ctrl\+C/.test(said)) resolve({ bench, address, said: () => said });
    });
    bench.stderr.on('data', (text) => reject(new Error(String(text))));
  });
}

/// The page at the address as it comes.
export async function openDoor(address, options = {}) {
  const context = await (await chrome()).newContext({ viewport: { width: 1280, height: 900 }, ...options });
  const page = await context.newPage();
  const faults = [];
  page.on('pageerror', (error) => faults.push(error.message));
  page.on('console', (said) => { if (said.type() === 'error') faults.push(said.text()); });
  await page.goto(address);
  return { page, faults, context };
}

/// The bench, once it has read the job.
export async function open(address, options) {
  const opened = await openDoor(address, options);
  await opened.page.waitForFunction(() => !document.getElementById('stands').textContent.startsWith('Reading the job'));
  return opened;
}

export const job = (folder) => JSON.parse(readFileSync(join(folder, 'job.json'), 'utf8'));

/// Waits until what `read` sees on the disk is `wanted`.
export async function saved(read, wanted) {
  for (let i = 0; i < 100; i += 1) {
    try {
      if (read() === wanted) return;
    } catch { /* not there yet */ }
    await new Promise((resolve) => { setTimeout(resolve, 50); });
  }
  assert.equal(read(), wanted);
}

export async function workOut(page) {
  await page.click('#run-start');
  await page.waitForSelector('#run-stop');
  await page.waitForSelector('#run-stop', { state: 'detached', timeout: 180000 });
}

/// What axe-core finds against WCAG 2.2, A and AA.
export async function violations(page) {
  await page.evaluate(kAxe);
  const found = await page.evaluate(() => globalThis.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] }));
  return found.violations.map((v) => `${v.id}: ${v.nodes.length} x ${v.nodes[0].html.slice(0, 120)}`);
}

/// A picture for whoever looks: PICTURES=folder.
export async function takePicture(page, name, options = {}) {
  if (process.env.PICTURES) await page.screenshot({ path: join(process.env.PICTURES, `bench ${name}.png`), ...options });
}

/// The thickness of the first plate, unfolded.
export async function thicknessField(page) {
  await page.click('#parts > summary');
  await page.click('[id="fold-plates"]');
  await page.click('[id="fold-plates[0]"]');
  return page.locator('[id="field-plates[0].thickness"]');
}
