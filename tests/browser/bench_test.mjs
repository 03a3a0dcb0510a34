// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// The bench page in a browser, by keyboard and mouse alone. Run by ctest with FAIRHOLE_PROGRAM set; needs Chromium.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { job, kProgram, newFolder, open, saved, start, thicknessField, workOut } from './bench_support.mjs';

test('from an empty folder to the drawing, and the same plan as run gives', async () => {
  const folder = newFolder();
  const { address } = await start(folder);
  const { page, faults } = await open(address);
  await page.click('#begin-example');
  await page.waitForSelector('#parts:not([hidden])');
  await workOut(page);
  await page.waitForSelector('a[download="side plate.dxf"]');
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('a[download="side plate.dxf"]')]);
  const taken = readFileSync(await download.path(), 'utf8');
  const out = join(newFolder(), 'out');
  assert.equal(spawnSync(kProgram, ['run', folder, '--out', out]).status, 0);
  assert.equal(taken, readFileSync(join(out, 'side plate.dxf'), 'utf8'));
  // Every sheet and drawing is seen on the page.
  for (const [name, least] of [['side plate-sheet.pdf', 2], ['side plate-template.pdf', 1], ['side plate-order.pdf', 1], ['fasteners.pdf', 1]]) {
    await page.click(`button[aria-label="Look at ${name}"]`);
    await page.waitForSelector(`.pages img[alt="${name}, page 1"]`);
    const widths = await page.$$eval('.pages img', (images) => Promise.all(images.map(async (image) => { image.loading = 'eager'; await image.decode(); return image.naturalWidth; })));
    assert.ok(widths.length >= least && widths.every((width) => width > 500), `${name}: ${widths}`);
  }
  await page.click('button[aria-label="Look at side plate.dxf"]');
  await page.waitForSelector('.dxf');
  assert.equal(await page.locator('.dxf circle').count(), taken.split(/\r?\n/).filter((line) => line === 'CIRCLE').length);
  await page.click('button[aria-label="Look at report.html"]');
  await page.frameLocator('.preview iframe').locator('h1').first().waitFor();
  await page.press('button[aria-label="Look at holes.csv"]', 'Enter');  // by keyboard: a press right after the page moved may reach the frame above
  await page.waitForSelector('.preview pre:has-text("B1")');
  await page.fill('#bar-x', '99.6');
  await page.press('#bar-x', 'Tab');
  await saved(() => job(folder).outputs?.template_check_x, 99.6);
  assert.deepEqual(faults, []);
});

test('a field typed into is saved, a wrong one is told beside it, and can be taken back', async () => {
  const folder = newFolder('wharf-crane');
  const before_ = readFileSync(join(folder, 'job.json'), 'utf8');
  const { address } = await start(folder);
  const { page, faults } = await open(address);
  const field = await thicknessField(page);
  await field.fill('3 furlongs');
  await field.press('Tab');
  await page.waitForSelector('[id="field-plates[0].thickness"][aria-invalid="true"]');
  assert.equal(job(folder).plates[0].thickness, '3 furlongs');
  assert.match(await page.textContent('#stands'), /1 thing in the job to put right/);
  await page.click('#undo');
  await page.waitForSelector('[id="field-plates[0].thickness"][aria-invalid="true"]', { state: 'detached' });
  assert.equal(readFileSync(join(folder, 'job.json'), 'utf8'), before_);
  assert.deepEqual(faults, []);
});

test('readings are typed one to a line; a misread one is told at once', async () => {
  const folder = newFolder('wharf-crane');
  const { address } = await start(folder);
  const { page, faults } = await open(address);
  const name = 'readings/left-fore-bracket-foot.csv';
  await page.click(`[id="face-${name}"] > summary`);
  const rows = () => readFileSync(join(folder, name), 'utf8').split('\n').filter((line) => /^(along|across|centres|dia)/.test(line)).length;
  const had = rows();
  const line = page.locator(`[id="line-${name}"]`);
  await line.pressSequentially('dia A1 0 20.9');
  await line.press('Enter');
  await line.pressSequentially('along A1 141.5');
  await line.press('Enter');
  await saved(rows, had + 2);
  await page.waitForSelector(`[id="face-${name}"] p.look-again`);
  await line.pressSequentially('sideways A1 3');
  await line.press('Enter');
  assert.match(await page.textContent(`[id="face-${name}"] .wrong[role=alert]`), /no kind of reading/);
  assert.deepEqual(faults, []);
});

test('a killed bench loses nothing that was saved', async () => {
  const folder = newFolder('wharf-crane');
  const first = await start(folder);
  const { page } = await open(first.address);
  await page.click('#parts > summary');
  await page.fill('#field-title', 'Crane, again');
  await page.press('#field-title', 'Tab');
  await saved(() => job(folder).title, 'Crane, again');
  first.bench.kill('SIGKILL');
  await new Promise((resolve) => { first.bench.on('exit', resolve); });
  const second = await start(folder);
  const again = await open(second.address);
  assert.equal(await again.page.textContent('#title'), 'Crane, again');
  await again.page.click('#undo');
  await saved(() => job(folder).title === 'Crane, again', false);
});

test('two windows never overwrite each other silently', async () => {
  const folder = newFolder('wharf-crane');
  const { address } = await start(folder);
  const one = await open(address);
  const two = await open(address);
  for (const { page } of [one, two]) await page.click('#parts > summary');
  await one.page.route('**/api/job', (route) => route.abort());  // this window has not looked for a while
  writeFileSync(join(folder, 'job.json'), readFileSync(join(folder, 'job.json'), 'utf8').replace(/"title": ".*?"/, '"title": "an editor"'));
  await one.page.fill('#field-title', 'mine');
  await one.page.press('#field-title', 'Tab');
  await one.page.waitForSelector('#clash[open]');
  assert.equal(job(folder).title, 'an editor');
  await one.page.unroute('**/api/job');
  await one.page.click('#keep-mine');
  await saved(() => job(folder).title, 'mine');
  await two.page.waitForFunction(() => document.getElementById('title').textContent === 'mine');
});

test('names stay text', async () => {
  const folder = newFolder('wharf-crane');
  const nasty = '<img src=x onerror="document.title=1">';
  writeFileSync(join(folder, 'job.json'), JSON.stringify({ ...job(folder), title: nasty }));
  const { address } = await start(folder);
  const { page } = await open(address);
  assert.equal(await page.textContent('#title'), nasty);
  assert.equal(await page.locator('img').count(), 0);
});

test('typed faster than the disk saves, nothing is lost', async () => {
  const folder = newFolder('wharf-crane');
  const { address } = await start(folder);
  const { page, faults } = await open(address);
  await page.route('**/api/files/**', async (route) => {
    if (route.request().method() === 'PUT') await new Promise((resolve) => { setTimeout(resolve, 400); });
    await route.continue();
  });
  const name = 'readings/left-fore-bracket-foot.csv';
  const typed = () => readFileSync(join(folder, name), 'utf8').split('\n').filter((line) => line.startsWith('dia,A1,4')).map((line) => line.split(',')[2]).join();
  await page.click(`[id="face-${name}"] > summary`);
  await page.click(`[id="line-${name}"]`);
  const wanted = [41, 42, 43, 44, 45, 46];
  for (const degrees of wanted) {
    await page.keyboard.type(`dia A1 ${degrees} 20.9`);
    await page.keyboard.press('Enter');
    await page.waitForTimeout(150);
  }
  await saved(typed, wanted.join());
  // The same of the job: three fields, one after the other.
  await page.click('#parts > summary');
  await page.fill('#field-title', 'At speed');
  await page.fill('#field-date', '2026-11-26');
  await page.waitForTimeout(500);  // the first is on the disk, the second is not
  await page.selectOption('#field-units', 'mm');
  await page.waitForTimeout(100);
  await page.fill('#field-title', 'At speed, again');
  await page.keyboard.press('Tab');
  await page.waitForTimeout(600);
  assert.equal(await page.evaluate(() => document.activeElement.id), 'field-units', 'the keyboard stays where Tab brought it');
  await saved(() => `${job(folder).title} ${job(folder).date}`, 'At speed, again 2026-11-26');
  assert.deepEqual(faults, []);
});

test('what is marked in a field stays marked when the fields are made anew', async () => {
  const folder = newFolder('wharf-crane');
  const { address } = await start(folder);
  const { page, faults } = await open(address);
  await page.click('#parts > summary');
  await page.fill('#field-title', 'Marked');
  await page.focus('#field-date');  // leaving the title saves it, and the answer makes the fields anew
  await page.evaluate(() => {
    const field = document.getElementById('field-date');
    field.select();
    field.wasThere = true;
  });
  await page.waitForFunction(() => !document.getElementById('field-date').wasThere);
  await page.keyboard.type('2026-11-26');
  await page.keyboard.press('Tab');
  await saved(() => `${job(folder).title} ${job(folder).date}`, 'Marked 2026-11-26');
  assert.deepEqual(faults, []);
});
