// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// How quick the bench page is, in Chromium: node timing.mjs PROGRAM (tools/bench-all). Prints; never judges.
import { spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

const kColumns = 12;
const kRows = 10;
const kSamples = 40;
const folder = mkdtempSync(join(tmpdir(), 'fairhole-timing-'));

/// A plate with 120 holes under one part; a second face with 60 holes to read.
function writeJob() {
  mkdirSync(join(folder, 'readings'));
  let seed = 7;
  const noise = () => { seed = (seed * 16807) % 2147483647; return (seed / 2147483647 - 0.5) * 0.6; };
  const head = '# tape: II\nkind,from,to,reading,sigma,note\n';
  const rows = (count) => Array.from({ length: count }, (_, i) => {
    const [x, y] = [40 + 70 * (i % kColumns) + noise(), 40 + 40 * Math.floor(i / kColumns) + noise()];
    const near = i % kColumns ? `centres,H${i},H${i + 1},${(70 + noise()).toFixed(1)},,\n` : '';
    return `along,H${i + 1},,${x.toFixed(1)},,\nacross,H${i + 1},,${y.toFixed(1)},,\n${near}dia,H${i + 1},0,20.8,,\n`;
  }).join('');
  writeFileSync(join(folder, 'readings/all.csv'), head + rows(kColumns * kRows));
  writeFileSync(join(folder, 'readings/sixty.csv'), head + rows(60));
  const face = (name, file) => ({ name, thickness: 12, length: 850, width: 440, measured_from: 'outer', readings: [file] });
  writeFileSync(join(folder, 'job.json'), JSON.stringify({
    format: 'fairhole job 1', title: 'Timing', plates: [{ name: 'plate', marked_face: 'outer', thickness: 12, outline: [[0, 0], [850, 0], [850, 440], [0, 440]] }],
    parts: [{ id: 'part', kind: 'plate', faces: [face('near', 'readings/all.csv')] }, { id: 'other', kind: 'plate', faces: [face('back', 'readings/sixty.csv')] }],
    patterns: { grid: [{ grid: 'H', x: 40, y: 40, pitch: 70, count: kColumns, rows: kRows, gauge: 40 }] },
    hole_groups: [{ name: 'all', on: 'plate', pattern: 'grid', fastener: 'bolt' }],
    joints: [{ name: 'part on plate', part: 'part', face: 'near', on: 'plate', side: 'marked', seat: { x: 0, y: 0 }, play: { along: 2, across: 2, turn_deg: 0.2 }, groups: ['all'] }],
    fasteners: { bolt: { kind: 'clearance bolt', diameter: 20, clearance: 2, sizes: [22, 24, 26] } }, rules: { draws: 1000 },
  }));
}

const quantile = (values, q) => [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(q * values.length))];
const say = (what, values, unit) => console.log(`${what.padEnd(58)} median ${quantile(values, 0.5).toFixed(1)}, 95 in 100 below ${quantile(values, 0.95).toFixed(1)} ${unit}`);

writeJob();
const bench = spawn(process.argv[2], ['bench', folder]);
const address = await new Promise((resolve) => { bench.stdout.on('data', (text) => { const found = /http:\S+/.exec(text); if (found) resolve(found[0]); }); });
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] });
try {
  const page = await (await browser.newContext({ viewport: { width: 1280, height: 900 } })).newPage();
  const paints = [];
  for (let i = 0; i < 8; i += 1) {
    await page.goto(address);
    await page.waitForSelector('#run-start');
    paints.push(await page.evaluate(() => performance.getEntriesByName('first-contentful-paint')[0].startTime));
  }
  say('first paint', paints.slice(1), 'ms');

  await page.click('[id="face-readings/sixty.csv"] > summary');
  const typed = await page.evaluate(async (samples) => {
    const body = document.getElementById('face-readings/sixty.csv');
    const input = document.getElementById('cell-readings/sixty.csv-1-reading');
    const sketch = body.querySelector('.side-by-side > div:nth-child(2) > div');
    const times = [];
    for (let i = 0; i < samples; i += 1) {
      input.value = (40 + (i % 7) / 10).toFixed(1);
      const began = performance.now();
      await new Promise((resolve) => {
        const seen = new MutationObserver(() => { seen.disconnect(); resolve(); });
        seen.observe(sketch, { childList: true, subtree: true });
        input.dispatchEvent(new Event('input', { bubbles: true }));
      });
      times.push(performance.now() - began);
      await new Promise((resolve) => { setTimeout(resolve, 60); });
    }
    return times;
  }, kSamples);
  say('a reading typed to the sketch drawn anew, 60 holes', typed, 'ms');

  await page.click('#run-start');
  await page.waitForSelector('#run-stop');
  await page.waitForSelector('#run-stop', { state: 'detached', timeout: 600000 });
  const stacks = await page.locator('.spot[data-key]').count();
  await page.locator('.spot[data-key]').first().click();
  const drag = await page.evaluate(async (samples) => {
    const shape = document.querySelector('path.face.movable');
    shape.setPointerCapture = () => {};
    const fire = (type, x) => shape.dispatchEvent(new PointerEvent(type, { pointerId: 1, clientX: x, clientY: 300, bubbles: true }));
    const live = () => new Promise((resolve) => { requestAnimationFrame(() => requestAnimationFrame(resolve)); });
    fire('pointerdown', 300);
    const times = [];
    let before = performance.now();
    for (let i = 1; i <= samples; i += 1) {
      fire('pointermove', 300 + i * 2);
      await live();  // drawn, and the next frame begun
      const now = performance.now();
      times.push(now - before);
      before = now;
    }
    fire('pointerup', 300);
    return times;
  }, kSamples);
  say(`a drag step followed on ${stacks} stacks, two frames`, drag, 'ms');
} finally {
  await browser.close();
  bench.kill();
  rmSync(folder, { recursive: true, force: true });
}
