// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// A first job of one's own, led step by step from an empty folder to the drawing: by keyboard and mouse alone.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { job, kProgram, newFolder, open, saved, start, takePicture, violations, workOut } from './bench_support.mjs';

const kInch = 25.4;
/// The angle's old holes as they truly are, in its own frame: two rows of six at 3 in, 1 3/4 in apart; one is off.
const kHoles = Array.from({ length: 12 }, (_, i) => ({
  id: `${i < 6 ? 'lower' : 'upper'}${(i % 6) + 1}`, x: 30 + 3 * kInch * (i % 6) + (i === 8 ? 0.9 : 0), y: 35 + (i < 6 ? 0 : 1.75 * kInch), dia: 20.6 }));
const kJitter = [0.2, -0.3, 0.1, 0, -0.1, 0.3, -0.2];  // as a tape is read

/// Types where the keyboard is, and goes on with Tab.
async function typed(page, id, text) {
  await page.click(`[id="${id}"]`);
  await page.keyboard.press('Control+A');
  await page.keyboard.type(text);
  await page.keyboard.press('Tab');
}
async function next(page, words) {
  await page.waitForSelector(`#next:has-text("${words}")`);
  await page.click('#next');
}
const chosen = (page, id, label) => page.selectOption(`[id="${id}"]`, { label });

test('a first job, step by step, from an empty folder to the drawing', async () => {
  const folder = newFolder();
  const { address } = await start(folder);
  const { page, faults } = await open(address, { permissions: ['clipboard-read', 'clipboard-write'] });
  assert.deepEqual(await violations(page), []);
  await takePicture(page, 'first');
  await page.focus('#begin-nothing');
  await page.keyboard.press('Enter');

  await next(page, 'Step 1 of 8');
  assert.equal(await page.evaluate(() => document.activeElement.id), 'field-title', 'the step leads to the field');
  await typed(page, 'field-title', 'Winch house: new gusset plate');
  await next(page, 'Step 1 of 8');
  await page.waitForFunction(() => document.activeElement.id === 'new-name');
  await takePicture(page, 'path plate');
  assert.deepEqual(await violations(page), []);
  await page.click('#add-it');  // too early: it says what is needed, and adds nothing
  assert.match(await page.textContent('#new-name-wrong'), /this is needed/);
  assert.equal(job(folder).plates.length, 0);
  await page.keyboard.type('gusset');
  for (const [key, text] of [['length', '560'], ['width', '8 1/2 in'], ['thickness', '3/8 furlong']]) await typed(page, `new-${key}`, text);
  await chosen(page, 'new-hand', 'LEFT');
  await page.click('#add-it');
  await page.waitForSelector('#new-thickness[aria-invalid="true"]');
  assert.notEqual(await page.textContent('#new-thickness-wrong'), '');
  await typed(page, 'new-thickness', '3/8 in');
  await page.click('#add-it');
  await saved(() => job(folder).plates[0]?.thickness, '3/8 in');

  await next(page, 'Step 2 of 8');
  for (const [key, text] of [['name', 'stay angle'], ['length', '19 1/2 in'], ['width', '4 in'], ['thickness', '1/2 in']]) await typed(page, `new-${key}`, text);
  await takePicture(page, 'path angle');
  await page.click('#add-it');
  await saved(() => job(folder).parts[0]?.faces.length, 1);

  await next(page, 'Step 3 of 8');
  for (const [key, text] of [['x', '30'], ['y', '40'], ['turn_deg', '0']]) await typed(page, `lay-${key}`, text);
  await page.waitForTimeout(300);
  await takePicture(page, 'path lay');
  assert.deepEqual(await violations(page), []);
  await page.click('#lay-it');
  await saved(() => job(folder).joints[0]?.on, 'gusset');

  await next(page, 'Step 4 of 8');
  await typed(page, 'hole-name', 'stay holes');
  await chosen(page, 'hole-kind', 'rows side by side');
  for (const [key, text] of [['letter', 'S'], ['x', '60'], ['y', '75'], ['pitch', '3 in'], ['count', '6'], ['gauge', '1 3/4 in'], ['rows', '2'], ['diameter', '3/4 in']]) await typed(page, `hole-${key}`, text);
  await page.waitForSelector('.growing figcaption:has-text("12 holes")');
  await takePicture(page, 'path holes');
  assert.deepEqual(await violations(page), []);
  await page.click('#hole-it');
  await saved(() => job(folder).joints[0]?.groups.join(), 'stay holes');
  assert.deepEqual(job(folder).fasteners['stay holes rivet'], { kind: 'rivet', diameter: '3/4 in', sizes: ['13/16 in', '7/8 in', '15/16 in', '1 in'] });

  await next(page, 'Step 5 of 8');
  await page.keyboard.press('Enter');  // begins the file
  await page.waitForFunction(() => document.activeElement.id?.startsWith('line-'));
  let j = 0;
  const read = (value) => (Math.round(2 * (value + kJitter[j++ % 7])) / 2).toFixed(1);
  const rows = kHoles.flatMap((hole) => [  // one is misread by 100 mm; inches and fractions mixed in
    `along ${hole.id} ${hole.id === 'lower3' ? '282.5' : read(hole.x)}`, `across ${hole.id} ${read(hole.y)}`, `dia ${hole.id} ${hole.dia}`]);
  for (const row of [0, 6]) for (let i = row; i < row + 5; i += 1) rows.push(`centres ${kHoles[i].id} ${kHoles[i + 1].id} ${i === row ? '3 in' : read(kHoles[i + 1].x - kHoles[i].x)}`);
  for (const row of rows.slice(0, 9)) {
    await page.keyboard.type(row);
    await page.keyboard.press('Enter');
  }
  // The rest as a spreadsheet gives it.
  const cells = ([kind, from, ...more]) => (kind === 'centres' ? [kind, from, more[0], more.slice(1).join(' ')] : [kind, from, '', more.join(' ')]).join('\t');
  await page.evaluate((text) => navigator.clipboard.writeText(text), rows.slice(9).map((row) => cells(row.split(' '))).join('\n'));
  await page.keyboard.press('Control+V');
  await next(page, 'Step 6 of 8');
  await takePicture(page, 'path readings');
  assert.match(await page.textContent('#path li.now'), /does not agree/);
  assert.deepEqual(await violations(page), []);
  const name = 'readings/stay angle-plate-leg.csv';
  await page.waitForSelector(`[id="face-${name}"] p.look-again:has-text("lower3")`);
  await typed(page, `cell-${name}-7-reading`, '182.5');

  await next(page, 'Step 7 of 8');
  assert.equal(await page.evaluate(() => document.activeElement.id), 'run-start');
  await workOut(page);
  await takePicture(page, 'path fair');
  await next(page, 'Step 8 of 8');
  await page.waitForSelector('a[download="gusset.dxf"]');
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('a[download="gusset.dxf"]')]);
  const taken = readFileSync(await download.path(), 'utf8');
  const out = join(newFolder(), 'out');
  const ran = spawnSync(kProgram, ['run', folder, '--out', out], { encoding: 'utf8' });
  assert.equal(ran.status, 0, ran.stderr);
  assert.equal(taken, readFileSync(join(out, 'gusset.dxf'), 'utf8'));
  const plan = JSON.parse(readFileSync(join(out, 'plan.json'), 'utf8'));
  assert.equal(plan.ready, true);
  assert.equal(plan.stacks.length, 12);
  assert.deepEqual(faults, []);
});
