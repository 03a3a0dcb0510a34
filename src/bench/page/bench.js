// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// The bench: the stations of the job one after the other, and the strip that says what stands.
import { getKinds, getSchema } from './ask.js';
import { kinds } from './csv.js';
import { el, fill, problemLine } from './dom.js';
import { help } from './help.js';
import { FairingStation } from './fairing.js';
import { JobStation } from './job_station.js';
import { Path } from './path.js';
import { PaperStation } from './paper.js';
import { PhotosStation } from './photos.js';
import { ReadingsStation } from './readings.js';
import { Store } from './store.js';

const store = new Store();
let stations = [];
let path = null;

function station(id, title, says, body, open) {
  return el('details', { id, class: 'station', open }, el('summary', {}, el('h2', {}, title), el('span', { class: 'asks-for' }, says)), help(id), body);
}

function strip() {
  document.getElementById('title').textContent = store.job?.title ?? 'Fairhole bench';
  document.title = `${store.job?.title ?? 'job'} - bench`;
  const says = stations.map(({ it }) => it.words()).filter(Boolean);
  const stands = document.getElementById('stands');
  const text = says.length ? `${says.join('; ')}.` : 'Nothing asks for anything.';
  if (stands.textContent !== text) stands.textContent = text;
  for (const { it, id } of stations) document.querySelector(`#${id} .asks-for`).textContent = it.words();
  path.draw();
  const next = path.next();
  const { undo, redo } = store.about;
  fill(document.getElementById('steps'),
    next ? el('button', { id: 'next', type: 'button', class: 'main', onclick: next.go }, next.words, el('span', { class: 'if-wide' }, `: ${next.title}`)) : null,
    el('button', { id: 'undo', type: 'button', disabled: undo === null, title: undo ?? '', onclick: () => store.step(false) }, 'Take back'),
    el('button', { id: 'redo', type: 'button', disabled: redo === null, title: redo ?? '', onclick: () => store.step(true) }, 'Once more'));
}

/// A folder without a job: what to begin with.
function first() {
  const panel = document.getElementById('first');
  panel.hidden = store.text('job.json') !== undefined;
  for (const id of ['path', ...stations.map((one) => one.id)]) document.getElementById(id).hidden = !panel.hidden;
  if (panel.hidden || panel.firstChild) return;
  const begin = (what) => store.begin(what).then(() => {
    document.getElementById('parts').open = true;
    path.body.open = true;
    document.getElementById('next').focus();
  });
  fill(panel, el('h2', {}, 'This folder holds no job yet'),
    el('p', {}, 'A job says which new plates are to be drilled, which old parts lie on them, what the drawing asks for, and what was measured. The worked example is a lamp bracket on a new side plate: four holes, one of them worn, one a little off. Work it out, look at the sheet, then change its figures into your own.'),
    el('div', { class: 'line' }, el('button', { id: 'begin-example', type: 'button', class: 'main', onclick: () => begin('example') }, 'Begin with the worked example'),
      el('button', { id: 'begin-nothing', type: 'button', onclick: () => begin('nothing') }, 'Begin a job of my own, step by step')),
    el('p', {}, 'A job of your own is led through eight steps: the machine and the new plate, the old part, which face sits where, the drawing\'s holes, readings, whether they agree, fairing, paper. Each says what is needed now and leads to where it is done. Nothing can be broken: Take back undoes every step.'));
}

/// Two hands on one file: nothing is lost, the user says which stays.
function clash({ name, mine, theirs, what }) {
  const dialog = document.getElementById('clash');
  const settle = (text) => { dialog.close(); store.settle(theirs, text, what); };
  fill(dialog, el('h2', { id: 'clash-title' }, `${name} was changed elsewhere`),
    el('p', {}, `Another window or program has changed ${name} since it was read here. Your change (${what}) is not saved yet.`),
    el('div', { class: 'line' }, el('button', { type: 'button', id: 'keep-theirs', onclick: () => settle(undefined) }, 'Keep what is on the disk'),
      el('button', { type: 'button', id: 'keep-mine', onclick: () => settle(mine) }, 'Put mine in its place')));
  if (!dialog.open) dialog.showModal();
}

function lost(error) {
  fill(document.getElementById('stands'), el('ul', { class: 'problems' }, (error.problems ?? [{ where: '', what: String(error), remedy: 'load the page again', code: '' }]).map(problemLine)));
}

async function begin() {
  const [schema, known] = await Promise.all([getSchema(), getKinds()]);
  kinds.push(...known);
  const job = new JobStation(store, schema);
  const readings = new ReadingsStation(store, strip);
  const photos = new PhotosStation(store, strip);
  let paper = null;
  const fairing = new FairingStation(store, schema, () => {
    paper?.draw();
    photos.show(fairing.plan, fairing.stale());
    strip();
  });
  paper = new PaperStation(store, fairing);
  path = new Path({ store, job, readings, fairing });
  path.onFold = strip;
  stations = [
    { id: 'parts', title: 'Parts and joints', it: job }, { id: 'readings', title: 'Readings', it: readings },
    { id: 'photos', title: 'Photographs', it: photos },
    { id: 'fairing', title: 'Fairing', it: fairing }, { id: 'paper', title: 'Paper', it: paper }];
  fill(document.getElementById('bench'), el('section', { id: 'first', class: 'station', hidden: true }), path.body, stations.map(({ id, title, it }) => station(id, title, '', it.body, id !== 'parts' && id !== 'photos')));
  store.addEventListener('changed', () => { first(); strip(); });
  store.addEventListener('clash', (event) => clash(event.detail));
  store.addEventListener('lost', (event) => lost(event.detail));
  await store.load();
  first();
  job.draw();
  readings.draw();
  photos.draw();
  await fairing.begin();
  path.begin();
  strip();
}

begin().catch(lost);
