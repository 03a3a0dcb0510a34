// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Nothing keeps anybody out: axe-core, wide and narrow, light and dark, enlarged.
import assert from 'node:assert/strict';
import { before, test } from 'node:test';
import { newFolder, open, start, takePicture, thicknessField, violations, workOut } from './bench_support.mjs';

/// The demo's job, worked out once for all looks.
let address;
before(async () => {
  ({ address } = await start(newFolder('wharf-crane')));
  const { page, context } = await open(address);
  await workOut(page);
  await context.close();
});

for (const [name, options] of [['wide and light', { colorScheme: 'light' }], ['wide and dark', { colorScheme: 'dark' }],
  ['phone', { viewport: { width: 390, height: 800 }, hasTouch: true }], ['at 200 %', { viewport: { width: 640, height: 450 }, deviceScaleFactor: 2 }]]) {
  test(`nothing keeps anybody out: ${name}`, async () => {
    const { page, context } = await open(address, options);
    await thicknessField(page);
    for (const id of ['parts', 'readings', 'fairing']) await page.click(`#${id} > .help > summary`);
    await page.click('[id="face-readings/left-fore-bracket-foot.csv"] > summary');
    await page.click('#photos > summary');
    await page.click('[id="photos-beam/back"] > summary');
    await page.focus('[id="spot-left-toe|T1"]');
    await page.keyboard.press('Enter');
    await page.waitForSelector('.moon');
    await page.click('#path > summary');
    for (const [id, field] of [['add-joint', 'lay-x'], ['add-holes', 'hole-kind']]) {
      await page.click(`#${id} > summary`);
      await page.waitForSelector(`#${field}`);
    }
    await page.click('#add-part > summary');
    await page.click('[data-kind="casting"]');
    await page.selectOption('#new-shape', 'corners');
    await page.fill('#new-thickness', 'thick');
    await page.waitForSelector('#new-thickness[aria-invalid="true"]');
    await page.click('[id="face-readings/left-fore-bracket-foot.csv"] summary:has-text("What it was measured with")');
    await page.click('[id="photos-beam/back"] > div:last-child summary');
    await page.click('button[aria-label="Look at left-toe.dxf"]');
    await page.waitForSelector('.dxf');
    assert.deepEqual(await violations(page), []);
    const wider = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(wider <= 1, `the page is ${wider} px wider than the window`);
    await takePicture(page, name, { fullPage: true });
    await context.close();
  });
}
