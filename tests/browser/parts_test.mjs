// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Parts and joints on the bench page: added, drawn as they are typed; typing taken back in one step; other devices.
import assert from 'node:assert/strict';
import { existsSync, readFileSync } from 'node:fs';
import { networkInterfaces } from 'node:os';
import { join } from 'node:path';
import { test } from 'node:test';
import { job, newFolder, open, openDoor, saved, start, takePicture, thicknessField, violations } from './bench_support.mjs';

function hasNetwork() {
  return Object.values(networkInterfaces()).flat().some((one) => one.family === 'IPv4' && !one.internal);
}
const settle = (page) => page.waitForTimeout(400);  // longer than the page waits for the next keystroke

test('a folder that is not there is made; a plate and an angle grow as they are typed', async () => {
  const folder = join(newFolder(), 'new-job');
  const { address, said } = await start(folder);
  assert.match(said(), /new-job was not there: a new folder for a new job was made\./);
  assert.ok(existsSync(folder));
  const { page, faults } = await open(address);
  assert.match(await page.textContent('#stands'), /Nothing asks/);
  await page.click('#begin-nothing');
  await page.click('#add-part > summary');
  await page.click('[data-kind="new plate"]');
  for (const [key, text] of [['name', 'left-toe'], ['length', '35 7/16 in'], ['width', '420'], ['thickness', '1/2 in']]) await page.fill(`#new-${key}`, text);
  await page.waitForSelector('.growing text:has-text("900.1 mm")');  // 35 7/16 in
  await page.fill('#new-length', '850');
  await page.waitForSelector('.growing text:has-text("850.0 mm")');
  await page.click('#add-it');
  await saved(() => JSON.stringify(job(folder).plates[0]?.outline), '[[0,0],[850,0],[850,420],[0,420]]');
  await page.click('#add-part > summary');
  await page.click('[data-kind="angle"]');
  for (const [key, text] of [['name', 'near'], ['length', '11 3/4 in'], ['width', '3 1/2 in'], ['other', '90'], ['thickness', '12.7'], ['y', '360'], ['turn_deg', '-90']]) {
    if (key === 'y') await page.selectOption('#new-on', 'left-toe');
    await page.fill(`#new-${key}`, text);
  }
  // The right hand lies on the plate; the other hangs beside it and has its lettering in mirror writing.
  const left = () => page.$eval('.growing path.face', (path) => Math.min(...[...path.getAttribute('d').matchAll(/[ML](\S+) /g)].map((m) => Number(m[1]))));
  await page.waitForSelector('.growing path.face');
  await settle(page);
  assert.ok(Math.abs(await left()) < 0.01);
  assert.equal(await page.locator('.growing .from-behind').count(), 0);
  await page.selectOption('#new-measured_from', 'faying');
  await page.waitForSelector('.growing .from-behind');
  assert.ok(Math.abs(await left() + 3.5 * 25.4) < 0.01);
  await takePicture(page, 'part added');
  assert.deepEqual(await violations(page), []);
  await page.selectOption('#new-measured_from', 'outer');
  await settle(page);
  await page.click('#add-it');
  await saved(() => job(folder).joints[0]?.name, 'near on left-toe');
  assert.deepEqual(job(folder).parts[0].faces.map((face) => [face.name, face.width]), [['plate-leg', '3 1/2 in'], ['other-leg', 90]]);
  await page.click('text=Begin readings/near-plate-leg.csv');
  await saved(() => readFileSync(join(folder, 'readings/near-plate-leg.csv'), 'utf8').includes('kind,from'), true);
  assert.deepEqual(faults, []);
});

test('a field is saved while it is typed, its drawing follows, and one step takes it back', async () => {
  const folder = newFolder('wharf-crane');
  const before = readFileSync(join(folder, 'job.json'), 'utf8');
  const { address } = await start(folder);
  const { page, faults } = await open(address);
  const field = await thicknessField(page);
  await field.fill('');
  for (const key of '1/2 ') await field.press(key === ' ' ? 'Space' : key);
  await settle(page);
  assert.equal(await field.inputValue(), '1/2 ', 'the field under the hand stays as it is');
  await saved(() => job(folder).plates[0].thickness, '1/2');
  await page.waitForSelector('[id="field-plates[0].thickness"][aria-invalid="true"]');  // a fraction without its unit
  await field.pressSequentially('in', { delay: 300 });  // slower than the page saves
  await saved(() => job(folder).plates[0].thickness, '1/2 in');
  await page.waitForSelector('[id="field-plates[0].thickness"][aria-invalid="false"]');
  assert.ok(await field.evaluate((input) => input === document.activeElement));
  await field.press('Tab');
  await page.click('#undo');
  await saved(() => readFileSync(join(folder, 'job.json'), 'utf8') === before, true);
  // The same for a reading.
  const name = 'readings/left-fore-bracket-foot.csv';
  const text = readFileSync(join(folder, name), 'utf8');
  await page.click(`[id="face-${name}"] > summary`);
  const cell = page.locator(`[id="cell-${name}-1-reading"]`);
  const reading = await cell.inputValue();
  await cell.press('End');
  await cell.pressSequentially('25', { delay: 400 });
  await saved(() => readFileSync(join(folder, name), 'utf8').includes(`${reading}25`), true);
  await page.locator(`[id="cell-${name}-2-note"]`).focus();
  await page.click('#undo');
  await saved(() => readFileSync(join(folder, name), 'utf8') === text, true);
  assert.deepEqual(faults, []);
});

test('another device is let in by a code, once', { skip: hasNetwork() ? false : 'this machine is on no network' }, async () => {
  const folder = newFolder('wharf-crane');
  const { address, said } = await start(folder, '--lan');
  const code = /Code for the next device: (\S+)/.exec(said())[1];
  const { page } = await openDoor(address);
  await page.fill('#code', 'WRONG-ONE');
  await page.keyboard.press('Enter');
  await page.waitForSelector('#wrong:has-text("that is not the code")');
  assert.deepEqual(await violations(page), []);
  await page.fill('#code', code.toLowerCase());
  await page.keyboard.press('Enter');
  await page.waitForSelector('#parts');
  const stranger = await openDoor(address);
  await stranger.page.fill('#code', code);
  await stranger.page.keyboard.press('Enter');
  await stranger.page.waitForSelector('#wrong:has-text("that is not the code")');
  assert.equal((await fetch(`${address}api/job`)).status, 403);
});

test('an outline is drawn with the hand: corners pressed, one dragged, one taken away', async () => {
  const folder = newFolder('wharf-crane');
  const { address } = await start(folder);
  const { page, faults } = await open(address, { hasTouch: true });
  await page.click('#parts > summary');
  await page.click('#add-part > summary');
  await page.click('[data-kind="casting"]');
  await page.fill('#new-name', 'cast foot');
  await page.fill('#new-thickness', '1 in');
  await page.selectOption('#new-shape', 'corners');
  const pad = page.locator('.pad');
  await pad.scrollIntoViewIfNeeded();
  const at = (x, y) => page.evaluate(([px, py]) => {
    const root = document.querySelector('.pad');
    const p = new DOMPoint(px, -py).matrixTransform(root.getScreenCTM());
    return [p.x, p.y];
  }, [x, y]);
  const corners = () => page.inputValue('#new-corners');
  // With a finger, then with the mouse.
  let pressed = 0;
  const shown = async () => {  // the next press is aimed at the pad as it then lies
    pressed += 1;
    await page.waitForFunction((count) => document.querySelector('#new-corners').value.trim().split('\n').length === count, pressed);
  };
  for (const corner of [[0, 0], [240, 0]]) {
    await page.touchscreen.tap(...await at(...corner));
    await shown();
  }
  for (const corner of [[240, 60], [120, 110], [60, 150], [0, 110]]) {
    await page.mouse.click(...await at(...corner));
    await shown();
  }
  assert.equal(await corners(), '0, 0\n240, 0\n240, 60\n120, 110\n60, 150\n0, 110');
  await page.mouse.move(...await at(120, 110));
  await page.mouse.down();
  await page.mouse.move(...await at(150, 110), { steps: 4 });
  await page.mouse.up();
  assert.equal((await corners()).split('\n')[3], '150, 110');
  await page.waitForSelector('.growing .plate');
  await page.click('text=Take the last corner away');
  await page.focus('#new-corners');
  await page.keyboard.press('Control+End');
  await page.keyboard.type('\n0, 4 1/2 in');  // the rest by keyboard, in inches
  await page.click('#add-it');
  await saved(() => JSON.stringify(job(folder).parts.find((part) => part.id === 'cast foot')?.faces[0].outline), '[[0,0],[240,0],[240,60],[150,110],[60,150],[0,"4 1/2 in"]]');
  assert.deepEqual(faults, []);
});
