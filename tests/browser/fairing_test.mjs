// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Fairing on the bench page: decisions pinned, parts dragged and turned by hand.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { job, newFolder, open, saved, start, takePicture, violations, workOut } from './bench_support.mjs';

test('a decision is pinned, and the plan follows', async () => {
  const folder = newFolder();
  const { address } = await start(folder);
  const { page, faults } = await open(address);
  await page.click('#begin-example');
  await page.waitForSelector('#run-start');
  await workOut(page);
  await page.click('[id="spot-side plate|B3"]');
  const pinned = () => job(folder).hole_groups[0].holes?.B3;
  await page.click('button[aria-label^="Pin this way: plug"]');
  await saved(() => pinned()?.method, 'plug');
  await page.click('text=Leave it to the program');
  await saved(() => pinned(), undefined);
  await page.selectOption('#pin-method', 'open-out');
  await page.fill('#pin-finish', '1 in');
  await page.click('.detail button:text-is("Pin this")');
  await saved(() => pinned()?.finish, '1 in');
  await page.waitForFunction(() => document.getElementById('fairing').textContent.includes('The job has changed since'));
  await workOut(page);
  assert.equal(await page.getAttribute('[id="spot-side plate|B3"]', 'aria-label'), 'B3, open-out, pinned');
  assert.match(await page.textContent('.detail'), /25\.40/);  // 1 in
  assert.deepEqual(faults, []);
});

test('a part is dragged and turned within its play; its holes respond; it is held', async () => {
  const folder = newFolder('wharf-crane');
  const { address } = await start(folder);
  const { page, faults } = await open(address);
  await workOut(page);
  const figure = page.locator('figure[data-carrier="left-toe"]');
  const joint = 'left-near-angle on plate';
  const own = job(folder).joints.find((one) => one.name === joint);
  const end = (play) => (Array.isArray(play) ? play[1] : play);
  await figure.locator('summary').click();
  const field = (axis) => page.locator(`[id="seat-${joint}-${axis}"]`);
  const start_ = { along: await field('along').inputValue(), turn_deg: await field('turn_deg').inputValue() };
  const drag = async (locator, dx, dy) => {
    await locator.scrollIntoViewIfNeeded();
    const box = await locator.boundingBox();
    const [x, y] = [box.x + box.width / 2, box.y + Math.min(4, box.height / 2)];
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + dx, y + dy, { steps: 6 });
    await page.mouse.up();
  };
  await page.click('[id="spot-left-toe|T1"]');
  await takePicture(page, 'chosen hole');
  const moonBefore = await page.getAttribute('.moon', 'aria-label');
  await drag(figure.locator('path[data-joint="left-far-angle on plate"]'), 0, 0);  // pressed: the near angle beneath is reached
  await drag(figure.locator(`path[data-joint="${joint}"]`), 400, 0);
  assert.equal(Number(await field('along').inputValue()), end(own.play.along), 'held at the end of its play');
  assert.notEqual(await page.getAttribute('.moon', 'aria-label'), moonBefore);
  assert.match(await figure.locator('.live').textContent(), /T\d.* would no longer clean up/);
  await figure.getByText('Back to the plan').first().click();
  assert.equal(await field('along').inputValue(), start_.along);
  await drag(figure.locator(`.turn-grip[data-joint="${joint}"]`), 40, 0);  // its long edge runs away from the plate's
  const turned = Number(await field('turn_deg').inputValue());
  assert.ok(turned > Number(start_.turn_deg) + 0.05 && turned <= end(own.play.turn_deg), `turned to ${turned} degrees, counter-clockwise`);
  await page.focus(`[id="seat-${joint}-along-slide"]`);
  await page.keyboard.press('Home');
  assert.equal(Number(await field('along').inputValue()), own.play.along[0]);
  await figure.locator('fieldset', { hasText: 'left-near-angle, plate-leg' }).getByText('Hold it here').click();
  await saved(() => job(folder).joints.find((one) => one.name === joint).pinned_seat?.along, own.play.along[0]);
  assert.ok(Math.abs(job(folder).joints.find((one) => one.name === joint).pinned_seat.turn_deg - turned) < 0.001);
  assert.deepEqual(await violations(page), []);
  await takePicture(page, 'part moved');
  assert.deepEqual(faults, []);
});

test('what moves together goes together: an angle slides along its heel with both legs', async () => {
  const folder = newFolder('wharf-crane');
  const { address } = await start(folder);
  const { page, faults } = await open(address);
  await workOut(page);
  for (const fold of await page.locator('#fairing figure summary').all()) await fold.click();
  const seat = (joint) => Promise.all(['along', 'across', 'turn_deg'].map(async (axis) => Number(await page.inputValue(`[id="seat-${joint}-${axis}"]`))));
  const joints = ['left-near-angle on plate', 'left-near-angle on beam', 'left-far-angle on plate', 'right-near-angle on plate', 'right-far-angle on plate'];
  const all = async () => Object.fromEntries(await Promise.all(joints.map(async (joint) => [joint, await seat(joint)])));
  const change = (before, after, joint) => after[joint].map((value, i) => value - before[joint][i]);
  const kShown = [0.011, 0.011, 0.0011];  // two figures as they are shown, each rounded
  const near = (got, wanted, words) => got.forEach((value, i) => assert.ok(Math.abs(value - wanted[i]) <= kShown[i], `${words}: ${got} instead of ${wanted}`));
  const live = (carrier) => page.textContent(`figure[data-carrier="${carrier}"] .live`);
  // Its heel runs along y of the plate and along y of the beam's back: it slides as far on the one as on the other.
  let before = await all();
  await page.fill(`[id="seat-${joints[0]}-across"]`, String(before[joints[0]][1] - 1));
  await page.keyboard.press('Tab');
  let after = await all();
  near(change(before, after, joints[0]), [0, -1, 0], 'the leg that was moved');
  near(change(before, after, joints[1]).map((value, i) => (i === 1 ? Math.abs(value) : value)), [0, 1, 0], 'its other leg');
  for (const joint of joints.slice(2)) near(change(before, after, joint), [0, 0, 0], joint);
  assert.match(await live('left-toe'), /With them go left-near-angle, beam-leg\..*LN1 in beam\/back/);
  assert.match(await live('beam/back'), /LN1.* would no longer clean up.*With them go left-near-angle, plate-leg\./);
  assert.equal(await live('right-toe'), '');
  assert.equal(await page.locator('[id="spot-beam/back|LN1"].too-far').count(), 1);
  await page.click('figure[data-carrier="left-toe"] fieldset:has-text("left-near-angle, plate-leg") >> text=Back to the plan');
  near(change(before, await all(), joints[1]), [0, 0, 0], 'back with it');
  // Away from its heel it takes the beam along, and with the beam the plate legs of all four angles.
  before = await all();
  await page.fill(`[id="seat-${joints[0]}-along"]`, String(before[joints[0]][0] + 0.3));
  await page.keyboard.press('Tab');
  after = await all();
  near(change(before, after, joints[1]), [0, 0, 0], 'on the beam nothing moves');
  for (const joint of [joints[0], ...joints.slice(2)]) near(change(before, after, joint), [0.3, 0, 0], joint);
  assert.deepEqual(faults, []);
});
