// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Pictures of the bench page for the guide: node guide_picture.mjs PROGRAM JOB FOLDER (tools/make-guide-pictures).
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

const [program, job, out] = process.argv.slice(2);
const bench = spawn(program, ['bench', job]);
const address = await new Promise((resolve) => { bench.stdout.on('data', (text) => resolve(/http:\S+/.exec(text)[0])); });
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] });
const page = await (await browser.newContext({ viewport: { width: 1180, height: 800 }, colorScheme: 'light' })).newPage();
const show = (selector) => page.evaluate((what) => {
  document.activeElement.blur();
  document.querySelector(what).scrollIntoView({ block: 'start' });
}, selector);

await page.goto(address);
await page.click('#run-start');
await page.waitForSelector('#run-stop');
await page.waitForSelector('#run-stop', { state: 'detached', timeout: 120000 });
await page.click('[id="spot-left-toe|T1"]');
await show('#fairing');
await page.screenshot({ path: join(out, 'bench.png') });

await page.click('figure[data-carrier="left-toe"] summary');
await page.fill('[id="seat-left-near-angle on plate-across"]', '-1.5');
await page.keyboard.press('Tab');
await show('figure[data-carrier="left-toe"]');
await page.screenshot({ path: join(out, 'bench-moved.png'), clip: { x: 0, y: 60, width: 1180, height: 560 } });

await page.click('#readings > summary');
await page.click('#photos > summary');
const face = '[id="photos-right-aft-bracket/foot"]';
await page.click(`${face} > summary`);
await page.click(`${face} button:has-text("Read the holes")`);
await page.waitForSelector(`${face} tbody tr`, { timeout: 60000 });
await page.click(`${face} .flat [data-hole="H2"]`);
await show(`${face} .side-by-side`);
await page.screenshot({ path: join(out, 'bench-photos.png'), clip: { x: 0, y: 90, width: 1180, height: 470 } });

await page.click('#parts > summary');
await page.click('#add-part > summary');
await page.click('[data-kind="angle"]');
for (const [key, text] of [['name', 'near-angle'], ['length', '11 3/4 in'], ['width', '3 1/2 in'], ['other', '3 1/2 in'], ['thickness', '1/2 in']]) await page.fill(`#new-${key}`, text);
await page.selectOption('#new-measured_from', 'faying');
await page.selectOption('#new-on', 'left-toe');
await page.fill('#new-y', '358');
await page.fill('#new-turn_deg', '-90');
await page.waitForSelector('.growing .from-behind');
await show('#add-part');
await page.screenshot({ path: join(out, 'bench-part.png') });

// A job of one's own, on its way: the plate and the angle are there, the drawing's holes are being typed.
const own = mkdtempSync(join(tmpdir(), 'fairhole-guide-'));
const second = spawn(program, ['bench', own]);
const there = await new Promise((resolve) => { second.stdout.on('data', (text) => resolve(/http:\S+/.exec(text)[0])); });
await page.goto(there);
await page.click('#begin-nothing');
await page.waitForSelector('#next');
await page.click('#next');
await page.fill('#field-title', 'Winch house: new gusset plate');
await page.keyboard.press('Tab');
const fields = async (prefix, all) => { for (const [key, text] of all) await page.fill(`#${prefix}-${key}`, text); };
await page.click('#add-part > summary');
await page.click('[data-kind="new plate"]');
await fields('new', [['name', 'gusset'], ['length', '560'], ['width', '8 1/2 in'], ['thickness', '3/8 in']]);
await page.click('#add-it');
await page.waitForSelector('#next:has-text("Step 2")');
await page.click('#next');
await fields('new', [['name', 'stay angle'], ['length', '19 1/2 in'], ['width', '4 in'], ['thickness', '1/2 in']]);
await page.click('#add-it');
await page.waitForSelector('#next:has-text("Step 3")');
await page.click('#next');
await fields('lay', [['x', '30'], ['y', '40'], ['turn_deg', '0']]);
await page.click('#lay-it');
await page.waitForSelector('#next:has-text("Step 4")');
await page.evaluate(() => scrollTo(0, 0));
await page.screenshot({ path: join(out, 'bench-path.png'), clip: { x: 0, y: 0, width: 1180, height: 560 } });
await page.click('#next');
await page.selectOption('#hole-kind', 'grid');
await fields('hole', [['name', 'stay holes'], ['letter', 'S'], ['x', '60'], ['y', '75'], ['pitch', '3 in'], ['count', '6'], ['gauge', '1 3/4 in'], ['rows', '2']]);
await page.waitForSelector('.growing figcaption:has-text("12 holes")').catch(() => {});
await show('#add-holes');
await page.screenshot({ path: join(out, 'bench-holes.png') });
await browser.close();
bench.kill();
second.kill();
rmSync(own, { recursive: true });
