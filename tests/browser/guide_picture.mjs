// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// A picture of the bench page for the guide: node guide_picture.mjs PROGRAM JOB OUT.png (tools/make-guide-pictures).
import { spawn } from 'node:child_process';
import { chromium } from 'playwright-core';

const [program, job, out] = process.argv.slice(2);
const bench = spawn(program, ['bench', job]);
const address = await new Promise((resolve) => { bench.stdout.on('data', (text) => resolve(/http:\S+/.exec(text)[0])); });
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] });
const page = await (await browser.newContext({ viewport: { width: 1280, height: 900 }, colorScheme: 'light' })).newPage();
await page.goto(address);
await page.click('#run-start');
await page.waitForSelector('#run-stop');
await page.waitForSelector('#run-stop', { state: 'detached', timeout: 120000 });
await page.click('[id="spot-left-toe|T1"]');
await page.evaluate(() => {
  document.getElementById('readings').open = false;
  document.activeElement.blur();
  document.getElementById('fairing').scrollIntoView();
  window.scrollBy(0, -document.getElementById('strip').offsetHeight);
});
await page.screenshot({ path: out });
await browser.close();
bench.kill();
