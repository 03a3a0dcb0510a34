// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Every view of the bench page, for whoever looks: node every_view.mjs PROGRAM JOB FOLDER, light and dark, wide and narrow
// (tools/make-guide-pictures --views FOLDER). JOB is a copy of the demo job.
import { spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

const [program, job, out] = process.argv.slice(2);
mkdirSync(out, { recursive: true });
const benches = [];
function bench(folder) {
  const one = spawn(program, ['bench', folder]);
  benches.push(one);
  return new Promise((resolve) => { one.stdout.on('data', (text) => { const found = /http:\S+/.exec(text); if (found) resolve(found[0]); }); });
}
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] });
const kWays = [['wide', 1400, 900], ['narrow', 390, 844]].flatMap(([name, width, height]) => ['light', 'dark'].map((colorScheme) => ({ name: `${name} ${colorScheme}`, width, height, colorScheme })));

/// Goes through the page and calls `see(name, selector)` at each view.
async function tour(page, addresses, see) {
  const unfold = (id) => page.evaluate((what) => { document.getElementById(what).open = true; }, id);
  await page.goto(addresses.empty);
  await page.waitForSelector('#first:not([hidden])');
  await see('first');
  await page.goto(addresses.begun);
  await page.waitForSelector('#path[open] li.now');
  await see('path', '#path');
  await unfold('parts');
  await unfold('add-part');
  await page.click('[data-kind="new plate"]');
  await page.fill('#new-name', 'gusset');
  await page.selectOption('#new-shape', 'corners');
  await page.fill('#new-corners', '0, 0\n560, 0\n560, 120\n380, 8 1/2 in\n0, 8 1/2 in');
  await page.fill('#new-thickness', '3/8 furlong');
  await page.waitForSelector('#new-thickness[aria-invalid="true"]');
  await see('plate by its corners', '#add-part');
  await page.goto(addresses.demo);
  await page.waitForSelector('#run-start');
  for (const id of ['parts', 'readings', 'photos', 'fairing', 'paper']) await unfold(id);
  if (!addresses.worked) {
    await page.click('#run-start');
    await page.waitForSelector('#run-stop');
    await see('working', '#fairing');
    await page.waitForSelector('#run-stop', { state: 'detached', timeout: 300000 });
  }
  await see('parts', '#parts');
  await page.evaluate(() => { for (const one of document.querySelectorAll('#parts .help, [id="fold-parts"], [id="fold-parts[0]"]')) one.closest('details').open = true; });
  await page.waitForTimeout(100);
  await page.click('[id="fold-parts[0]"]').catch(() => {});
  await see('parts fields', '[id="fold-parts"]');
  await page.evaluate(() => { document.getElementById('add-joint').open = true; });
  await page.waitForSelector('#lay-x');
  await see('a face laid', '#add-joint');
  await page.evaluate(() => { document.getElementById('add-joint').open = false; document.getElementById('add-holes').open = true; });
  await page.waitForSelector('#hole-kind');
  await see('holes drawn', '#add-holes');
  await page.evaluate(() => { document.getElementById('add-holes').open = false; document.querySelector('#readings .help').open = true; });
  await see('readings help', '#readings');
  const file = 'face-readings/left-near-angle-plate-leg.csv';
  await unfold(file);
  await page.waitForTimeout(600);
  await see('readings', `[id="${file}"]`);
  const face = 'photos-right-aft-bracket/foot';
  await unfold(face);
  if (!addresses.worked) {
    await page.click(`[id="${face}"] button:has-text("Read the holes")`);
    await page.waitForSelector(`[id="${face}"] tbody tr`, { timeout: 120000 });
  }
  await page.waitForSelector(`[id="${face}"] .flat [data-hole="H2"]`, { timeout: 120000 });
  await page.evaluate(([id]) => document.querySelector(`[id="${id}"] .flat [data-hole="H2"]`).dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true })), [face]);
  await see('photographs', `[id="${face}"]`);
  await see('photographs list', `[id="${face}"] .flat-frame`);
  await page.evaluate(([id]) => { for (const one of document.querySelectorAll(`[id="${id}"] details`)) one.open = true; }, [face]);
  await see('put together', `[id="${face}"] > div:last-child`);
  await see('fairing', '#fairing');
  await page.evaluate(() => { document.getElementById('alternatives').open = true; });
  await see('alternatives', '#alternatives');
  await page.evaluate(() => document.getElementById('spot-left-toe|T3').dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true })));
  await see('a hole enlarged', '#fairing .detail');
  const seats = 'figure[data-carrier="left-toe"]';
  await page.evaluate((what) => { document.querySelector(`${what} details`).open = true; }, seats);
  await page.fill('[id="seat-left-near-angle on plate-across"]', '-1.5');
  await page.keyboard.press('Tab');
  await see('a part moved', seats);
  await see('seats', `${seats} details`);
  await see('paper', '#paper');
  for (const name of ['left-toe-sheet.pdf', 'left-toe.dxf', 'report.html']) {
    await page.evaluate((what) => document.querySelector(`button[aria-label="Look at ${what}"]`).click(), name);
    await page.waitForTimeout(1500);
    await see(`paper ${name}`, '#paper .preview');
  }
  addresses.worked = true;
}

const empty = mkdtempSync(join(tmpdir(), 'fairhole-views-'));
const begun = mkdtempSync(join(tmpdir(), 'fairhole-views-'));
const addresses = { empty: await bench(empty), begun: await bench(begun), demo: await bench(job) };
await fetch(`${addresses.begun}api/begin`, { method: 'POST', headers: { 'Content-Type': 'application/json', Origin: addresses.begun.replace(/\/$/, '') }, body: JSON.stringify({ with: 'nothing' }) });
for (const { name, width, height, colorScheme } of kWays) {
  const page = await (await browser.newContext({ viewport: { width, height }, colorScheme })).newPage();
  let number = 0;
  await tour(page, addresses, async (view, selector) => {
    number += 1;
    if (selector) await page.evaluate((what) => { document.activeElement?.blur(); document.querySelector(what).scrollIntoView({ block: 'start' }); }, selector);
    await page.waitForTimeout(250);
    await page.screenshot({ path: join(out, `${String(number).padStart(2, '0')} ${view}, ${name}.png`) });
  });
  await page.close();
}
await browser.close();
for (const one of benches) one.kill();
