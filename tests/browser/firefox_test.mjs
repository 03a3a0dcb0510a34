// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// The bench page in Firefox, where Debian's firefox-esr is there: playwright drives builds of its own alone, so this
// speaks WebDriver BiDi (https://www.w3.org/TR/webdriver-bidi/) to it.
import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { test } from 'node:test';
import { newFolder, start } from './bench_support.mjs';

const kFirefox = process.env.FIREFOX ?? '/usr/bin/firefox-esr';
const { ws: WebSocket } = createRequire(import.meta.url)('playwright-core/lib/utilsBundle');

/// Firefox without a window: {ask(method, params), close()}.
async function firefox() {
  const home = mkdtempSync(join(tmpdir(), 'fairhole-firefox-'));
  const browser = spawn(kFirefox, ['--headless', '--no-remote', '--remote-debugging-port=0', '--profile', home], { env: { ...process.env, HOME: home } });
  const address = await new Promise((resolve, reject) => {
    let said = '';
    browser.stderr.on('data', (text) => {
      said += text;
      const found = /WebDriver BiDi listening on (ws:\S+)/.exec(said);
      if (found) resolve(found[1]);
    });
    browser.on('exit', () => reject(new Error(`Firefox ended: ${said}`)));
  });
  const socket = new WebSocket(`${address}/session`);
  await new Promise((resolve, reject) => { socket.on('open', resolve); socket.on('error', reject); });
  const waiting = new Map();
  let last = 0;
  socket.on('message', (text) => {
    const message = JSON.parse(text);
    const { resolve, reject } = waiting.get(message.id) ?? {};
    if (message.type === 'error') reject?.(new Error(message.message));
    else resolve?.(message.result);
  });
  const ask = (method, params) => new Promise((resolve, reject) => {
    last += 1;
    waiting.set(last, { resolve, reject });
    socket.send(JSON.stringify({ id: last, method, params }));
  });
  await ask('session.new', { capabilities: {} });
  const close = () => new Promise((resolve) => {
    browser.removeAllListeners('exit');
    browser.on('exit', () => { rmSync(home, { recursive: true, force: true }); resolve(); });
    browser.kill();
  });
  return { ask, close };
}

test('Firefox: the worked example from an empty folder to its sheets', { skip: existsSync(kFirefox) ? false : `${kFirefox} is not there` }, async () => {
  const { address } = await start(newFolder());
  const { ask, close } = await firefox();
  try {
    const { contexts: [{ context }] } = await ask('browsingContext.getTree', {});
    await ask('browsingContext.setViewport', { context, viewport: { width: 1280, height: 900 } });
    await ask('browsingContext.navigate', { context, url: address, wait: 'complete' });
    const run = async (work) => {
      const { result, exceptionDetails } = await ask('script.evaluate', { target: { context }, awaitPromise: true, expression: `(async () => {
        const until = async (test) => { for (let i = 0; i < 600; i += 1) { const found = await test(); if (found) return found; await new Promise((r) => setTimeout(r, 100)); } throw new Error('waited in vain for ' + test); };
        ${work} })()` });
      assert.equal(exceptionDetails, undefined, exceptionDetails?.text);
      return result.value;
    };
    await run('const faults = []; window.faults = faults; addEventListener("error", (e) => faults.push(e.message)); addEventListener("unhandledrejection", (e) => faults.push(String(e.reason)));');
    await run('(await until(() => document.getElementById("begin-example"))).click();');
    await run('(await until(() => document.getElementById("run-start"))).click(); await until(() => document.getElementById("run-stop")); await until(() => document.getElementById("run-start"));');
    const width = await run(`(await until(() => document.querySelector('button[aria-label="Look at side plate-sheet.pdf"]'))).click();
      const image = await until(() => document.querySelector('.pages img')); await image.decode(); image.scrollIntoView(); return image.naturalWidth;`);
    assert.ok(width > 500, 'the sheet is seen');
    const { data } = await ask('browsingContext.captureScreenshot', { context });
    if (process.env.PICTURES) writeFileSync(join(process.env.PICTURES, 'bench in Firefox.png'), Buffer.from(data, 'base64'));
    await run('document.querySelector(\'[id="spot-side plate|B3"]\').dispatchEvent(new MouseEvent("click", { bubbles: true })); await until(() => document.querySelector(".moon"));');
    const bad = await run('return JSON.stringify({ faults: window.faults, wider: document.documentElement.scrollWidth - document.documentElement.clientWidth });');
    assert.deepEqual(JSON.parse(bad), { faults: [], wider: 0 });
  } finally {
    await close();
  }
});
