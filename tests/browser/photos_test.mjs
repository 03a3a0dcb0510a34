// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Photographs on the bench page: added, read, corrected.
import assert from 'node:assert/strict';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { job, kSource, newFolder, open, saved, start, takePicture, violations, workOut } from './bench_support.mjs';

const kFace = '[id="photos-right-aft-bracket/foot"]';
const kTruth = Object.values(JSON.parse(readFileSync(join(kSource, 'fixtures/jobs/wharf-crane/truth.json'), 'utf8'))['right-aft-bracket/foot']);
const foot = (folder) => job(folder).parts.find((part) => part.id === 'right-aft-bracket').faces[0];

/// The demo's job with the bracket's photographs taken out.
function withoutPhotos() {
  const folder = newFolder('wharf-crane');
  const all = job(folder);
  const face = all.parts.find((part) => part.id === 'right-aft-bracket').faces[0];
  delete face.photos;
  face.readings = ['readings/right-fore-bracket-foot.csv'];
  writeFileSync(join(folder, 'job.json'), JSON.stringify(all));
  return folder;
}

async function openFace(page) {
  await page.click('#photos > summary');
  if (!await page.isVisible(`${kFace} > summary`)) await page.click('#photos .without > summary');
  await page.click(`${kFace} > summary`);
}
async function readHoles(page) {
  await page.click(`${kFace} button:has-text("Read the holes")`);
  await page.waitForSelector(`${kFace} tbody tr`, { timeout: 60000 });
}
const readAgain = (page) => page.waitForSelector(`${kFace} progress`, { state: 'detached', timeout: 60000 });
/// Where a place of the board (mm) is on the screen.
const onScreen = (page, x, y) => page.evaluate(([face, px, py]) => {
  const root = document.querySelector(`${face} .flat`);
  root.scrollIntoView({ block: 'center' });
  const p = new DOMPoint(px, -py).matrixTransform(root.getScreenCTM());
  return [p.x, p.y];
}, [kFace, x, y]);

test('a picture is added, read and laid on the part', async () => {
  const folder = withoutPhotos();
  const { address } = await start(folder);
  const { page, faults } = await open(address);
  await openFace(page);
  const picture = join(kSource, 'fixtures/jobs/wharf-crane/photos/right-aft-bracket.jpg');
  await page.setInputFiles(`${kFace} input[type=file]`, picture);
  await saved(() => foot(folder).photos?.[0].files[0], 'photos/right-aft-bracket.jpg');
  assert.deepEqual(readFileSync(join(folder, 'photos/right-aft-bracket.jpg')), readFileSync(picture));
  assert.deepEqual(foot(folder).photos[0].boards, ['photos/board-1.json', 'photos/board-2.json'], 'the boards last used in the job');
  // Those are not the ones in this picture: the program says so, and the user names the right one.
  await page.click(`${kFace} button:has-text("Read the holes")`);
  await page.waitForSelector(`${kFace} .said`, { timeout: 60000 });
  assert.match(await page.textContent(`${kFace} .said`), /E643/);
  await page.fill(`[id="board-right-aft-bracket/foot/0"]`, 'A4-0');
  await page.keyboard.press('Tab');
  await saved(() => foot(folder).photos[0].boards.join(), 'photos/board-1.json,photos/board-2.json,photos/board-A4-0.json');
  for (const board of ['A4-1', 'A4-2']) {
    await page.click(`${kFace} button:has-text("${board} is not in the pictures")`);
    await page.waitForSelector(`${kFace} button:has-text("${board} is not in the pictures")`, { state: 'detached' });
  }
  for (const [axis, mm] of [[0, '180.3'], [1, '269.7']]) {
    await page.fill(`[id="bar-right-aft-bracket/foot/0-A4-0-${axis}"]`, mm);
    await page.keyboard.press('Tab');
  }
  await saved(() => foot(folder).photos[0].check?.['A4-0'].join(), '180.3,269.7');
  await page.fill('[id="lift-right-aft-bracket/foot/0-A4-0"]', '-15.9');
  await page.keyboard.press('Tab');
  await saved(() => foot(folder).photos[0].lift?.['A4-0'], -15.9);
  await page.click(`${kFace} .photo-set > .line button:has-text("Read")`);
  await page.waitForSelector(`${kFace} tbody tr`, { timeout: 60000 });
  assert.equal(await page.locator(`${kFace} tbody tr`).count(), kTruth.length);
  // The datum corner and a point of the long datum edge, as anybody sees them in the picture: the face then lies
  // where the holes' true places say, as near as two presses on a picture of 2 pixels a mm.
  await page.click(`${kFace} button:has-text("Lay the part")`);
  await page.mouse.click(...await onScreen(page, -201, 80.5));
  await page.mouse.click(...await onScreen(page, -31, 72));
  await saved(() => foot(folder).photos[0].at.sigma, 1.5);
  await page.waitForSelector(`${kFace} .lies`);
  const places = await page.$$eval(`${kFace} tbody tr td:nth-child(2)`, (cells) => cells.map((cell) => cell.textContent.split(',').map(Number)));
  for (const [x, y] of places) {
    const away = Math.min(...kTruth.map((hole) => Math.hypot(hole.x - x, hole.y - y)));
    assert.ok(away < 4, `${x}, ${y} is ${away.toFixed(1)} mm from any true hole`);
  }
  assert.deepEqual(faults, []);
});

test('what was found is corrected, and every correction can be taken back', async () => {
  const folder = newFolder('wharf-crane');
  const { address } = await start(folder);
  const { page, faults } = await open(address);
  await openFace(page);
  await readHoles(page);
  const marks = () => foot(folder).photos[0].by_hand ?? [];
  const place = (id) => page.getAttribute(`[id="flat-hole-right-aft-bracket/foot/0-${id}"] .rim`, 'cx').then(Number);
  // Renamed.
  await page.fill(`${kFace} input[aria-label="name of H1"]`, 'B1');
  await page.keyboard.press('Enter');
  await page.waitForSelector(`${kFace} input[aria-label="name of B1"]`, { timeout: 60000 });
  assert.deepEqual(marks().map((mark) => mark.name), ['B1']);
  // No hole, and a hole again.
  await page.click(`${kFace} button[aria-label="No hole: H3"]`);
  await page.waitForSelector(`${kFace} button[aria-label="It is a hole: H3"]`, { timeout: 60000 });
  await violationsIn(page);
  await page.click(`${kFace} button[aria-label="It is a hole: H3"]`);
  await page.waitForSelector(`${kFace} button[aria-label="No hole: H3"]`, { timeout: 60000 });
  assert.equal(marks().length, 1);
  // Nudged 3 mm aside: the rim is found where it is, to 0.1 mm.
  await readAgain(page);
  const before = await place('H4');
  await page.focus('[id="flat-hole-right-aft-bracket/foot/0-H4"]');
  await page.keyboard.press('Enter');
  for (let i = 0; i < 6; i += 1) await page.keyboard.press('ArrowRight');
  await page.keyboard.press('Enter');
  await saved(() => marks().length, 2);
  await readAgain(page);
  assert.ok(Math.abs(await place('H4') - before) < 0.1);
  await violationsIn(page);
  await takePicture(page, 'photographs');
  // A hole where there is none: said, and the mark can go.
  await page.click(`${kFace} button:has-text("Add a hole")`);
  await page.mouse.click(...await onScreen(page, -110, 140));
  await page.waitForSelector(`${kFace} p.look-again:has-text("No rim is found")`, { timeout: 60000 });
  await page.click(`${kFace} button:has-text("Take the mark away")`);
  await saved(() => marks().length, 2);
  await page.click('#undo');
  await saved(() => marks().length, 3);
  assert.deepEqual(faults, []);
});

async function violationsIn(page) { assert.deepEqual(await violations(page), []); }

test('a reading can be stopped, and a file that is no picture is refused in words', async () => {
  const folder = newFolder('wharf-crane');
  const { address } = await start(folder);
  const { page } = await open(address);
  await openFace(page);
  await page.click(`${kFace} button:has-text("Read the holes")`);
  await page.click(`${kFace} button:has-text("Stop")`);
  await page.waitForSelector(`${kFace} button:has-text("Read the holes")`);
  await page.setInputFiles(`${kFace} input[type=file]`, { name: 'notes.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('no picture') });
  await page.waitForSelector(`${kFace} .problem`);
  assert.match(await page.textContent(`${kFace} .problem`), /this is no picture file/);
  assert.equal(foot(folder).photos.length, 1);
});

test('a picture is looked at closely by wheel, keys and two fingers', async () => {
  const folder = newFolder('wharf-crane');
  const { address } = await start(folder);
  const { page } = await open(address);
  await openFace(page);
  await readHoles(page);
  const width = () => page.getAttribute(`${kFace} .flat`, 'viewBox').then((box) => Number(box.split(' ')[2]));
  const whole = await width();
  await page.mouse.move(...await onScreen(page, -100, 140));
  await page.mouse.wheel(0, -100);
  await page.waitForFunction(([face, w]) => Number(document.querySelector(`${face} .flat`).getAttribute('viewBox').split(' ')[2]) < w, [kFace, whole]);
  await page.focus(`${kFace} .flat`);
  await page.keyboard.press('0');
  assert.equal(await width(), whole);
  await page.keyboard.press('+');
  assert.ok(await width() < whole);
  const enlarged = await width();
  const [x, y] = await onScreen(page, -100, 140);
  await page.evaluate(([face, px, py]) => {
    const root = document.querySelector(`${face} .flat`);
    root.setPointerCapture = () => {};
    const fire = (type, id, cx) => root.dispatchEvent(new PointerEvent(type, { pointerId: id, clientX: cx, clientY: py, bubbles: true, pointerType: 'touch' }));
    fire('pointerdown', 11, px - 20);
    fire('pointerdown', 12, px + 20);
    fire('pointermove', 12, px + 60);
    fire('pointerup', 11, px - 20);
    fire('pointerup', 12, px + 60);
  }, [kFace, x, y]);
  assert.ok(Math.abs(await width() - enlarged / 2) < 0.02 * enlarged, 'fingers twice as far apart show half as much');
});

test('readings and photographs of one face stand side by side, put together, with what they do not agree on', async () => {
  const folder = newFolder('wharf-crane');
  const file = join(folder, 'readings/beam-back.csv');
  const text = readFileSync(file, 'utf8');
  const slip = text.replace('along,LN2,,99.5,,', 'along,LN2,,104.5,,');
  assert.notEqual(slip, text);
  writeFileSync(file, slip);  // 5 mm off, and no other reading checks it
  const { address } = await start(folder);
  const { page, faults } = await open(address);
  await page.click('#photos > summary');
  const beam = '[id="photos-beam/back"]';
  await page.click(`${beam} > summary`);
  await page.waitForSelector(`${beam} :text("Once the job is worked out")`);
  await workOut(page);
  const said = await page.waitForSelector(`${beam} > div:last-child p.look-again:has-text("LN2")`);
  assert.match(await said.textContent(), /readings and photographs put hole LN2 [45]\.\d mm apart/);
  const cells = await page.$$eval(`${beam} > div:last-child tbody tr`, (all) => all.map((row) => [...row.children].map((cell) => cell.textContent)));
  assert.deepEqual(cells.find(([id]) => id === 'LN2').slice(1), ['104.5, 115.2', 'left out', '-', '-']);
  assert.equal(await page.locator(`${beam} > div:last-child p.look-again:has-text("Bowed")`).count(), 0, 'what is no matter of the pictures stands elsewhere');
  // The guide's foot by tape and rubbing: together each hole lies where it truly is, within what a tape reads to.
  const guide = '[id="photos-left-aft-guide/foot"]';
  await page.click(`${guide} > summary`);
  await page.waitForSelector(`${guide} > div:last-child details`);
  const rows = await page.$$eval(`${guide} > div:last-child tbody tr`, (all) => all.map((row) => [...row.children].map((cell) => cell.textContent)));
  const truth = JSON.parse(readFileSync(join(kSource, 'fixtures/jobs/wharf-crane/truth.json'), 'utf8'))['left-aft-guide/foot'];
  assert.deepEqual(rows.map(([id]) => id), Object.keys(truth));
  for (const [id, , together] of rows) {
    const [x, y] = together.split(',').map(Number);
    assert.ok(Math.hypot(x - truth[id].x, y - truth[id].y) < 0.5, `${id}: ${together}`);
  }
  await takePicture(page, 'put together', { fullPage: true });
  assert.deepEqual(await violations(page), []);
  assert.deepEqual(faults, []);
});
