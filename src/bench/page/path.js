// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// The way through a job, step by step: what is done, what is needed now, and a press that leads to the field where it is
// done. It is read off the job itself, so it can be left and taken up anywhere.
import { el, fill } from './dom.js';

const kNewTitle = 'New job';  // as the bench begins one
const kReadings = 4;  // the step, counted from 0

const list = (names) => (names.length > 3 ? `${names.slice(0, 3).join(', ')} and ${names.length - 3} more` : names.join(names.length === 2 ? ' and ' : ', '));

/// Each step has needs; the first that is not met is what is needed now. `at` says where: a place to unfold and go to.
function stepsOf({ store, readings, fairing }) {
  const job = store.job ?? {};
  const { sketch, problems } = store.about;
  const joints = job.joints ?? [];
  const parts = job.parts ?? [];
  const lying = (part) => joints.some((joint) => joint.part === part.id) || joints.some((joint) => String(joint.on).startsWith(`${part.id}/`));
  const afloat = parts.filter((part) => !lying(part)).map((part) => part.id);
  const bare = joints.filter((joint) => !joint.groups?.length).map((joint) => `${joint.part}, ${joint.face}`);
  const faces = (sketch?.faces ?? []).filter((face) => joints.some((joint) => joint.part === face.part && joint.face === face.face) || face.holes.length);
  const drawn = (face) => Math.max(face.holes.length, ...joints.filter((joint) => joint.part === face.part && joint.face === face.face)
    .map((joint) => [...(sketch?.plates ?? []), ...(sketch?.faces ?? [])].flatMap((one) => one.holes).filter((hole) => joint.groups.includes(hole.group)).length - (joint.blank?.length ?? 0)));
  const stateOf = (face) => readings.stateOf(face);
  const photographed = (face) => parts.find((part) => part.id === face.part)?.faces?.find((one) => one.name === face.face)?.photos?.length > 0;
  const short = faces.filter((face) => !photographed(face) && stateOf(face).holes < drawn(face));
  const first = short[0];
  const { plan, run } = fairing;
  const said = (problem) => `${problem.what.split('\n')[0]}; ${problem.remedy}.`;
  return [
    { title: 'The machine and the new plate', needs: [
      { met: job.title && job.title !== kNewTitle, words: 'Write what the job is called: the machine, and what is made new. It stands on every sheet.', at: { station: 'parts', field: 'field-title' } },
      { met: job.plates?.length || joints.length, words: 'Give the new plate its name, length, height and thickness. Its datum corner is where its two straightest edges meet; x runs along the longer one. Say which hand it is for, seen from the rear of the machine looking towards the toe.', at: { station: 'parts', adder: 'part', kind: 'new plate', field: 'new-name' } }] },
    { title: 'The old part', needs: [
      { met: parts.length, words: 'Add the old part that bolts or rivets to it: angle, beam, bracket, casting, old plate. Measure it from the corner of its two best edges, and say which side you look at.', at: { station: 'parts', adder: 'part', kind: 'angle', field: 'new-name' } }] },
    { title: 'Which face sits where', needs: [
      { met: parts.length && afloat.length === 0, words: `${list(afloat) || 'The part'} lies on nothing yet. Say which face lies on the plate, on which side of it, where its datum corner stands and where its long edge points; the picture shows it. Say how far it may be moved from there.`, at: { station: 'parts', adder: 'joint', field: 'lay-which' } }] },
    { title: 'The drawing\'s holes', needs: [
      { met: job.hole_groups?.length, words: 'Draw the holes as the drawing has them: rows, grids, bolt circles; and say which rivets or bolts they are for and which parts have them too.', at: { station: 'parts', adder: 'holes', field: 'hole-name' } },
      { met: bare.length === 0, words: `${list(bare)} has no part in any holes yet: under joints, name the hole groups that go through it; or add its holes.`, at: { station: 'parts', adder: 'holes', field: 'hole-group' } },
      { met: problems.length === 0, words: problems.length ? `Something in the job is to be put right: ${said(problems[0])}` : '', at: { station: 'parts', field: null } }] },
    { title: 'Readings', needs: [
      { met: faces.length && (short.length === 0 || plan), words: first ? `Measure every hole of ${first.part}, ${first.face}: how far along, how far across, its diameter. ${stateOf(first).holes} of ${drawn(first)} so far. Holes may be called what you like; the program finds out which is which. Twice is better, from different edges. Photographs do as well. If it has no more holes than that, go on to Fair.` : 'Measure the old holes.', at: { station: 'readings', face: first?.readings?.[0] } }] },
    { title: 'Does it agree?', needs: [
      { met: faces.length && (readings.count().problems + readings.count().suspects === 0 || plan?.ready), words: 'A reading does not agree with the others: it is marked, with the slip that would explain it. Measure again and put it right. If you cannot measure again, it is left out: go on to Fair.', at: { station: 'readings', face: readings.firstTroubled() } }],
      done: readings.unchecked() ? `Everything agrees; ${readings.unchecked()} ${readings.unchecked() === 1 ? 'reading has' : 'readings have'} nothing to check ${readings.unchecked() === 1 ? 'it' : 'them'}.` : '' },
    { title: 'Fair', needs: [
      { met: plan && !fairing.stale(), words: plan ? 'The job has changed since it was worked out.' : 'Let the program seat the parts, decide every hole and work out the odds. What it decides can be changed: choose a hole on the plate.', at: { station: 'fairing', field: 'run-start' } },
      { met: plan?.ready, words: plan && !plan.ready ? `It cannot be drilled so: ${plan.problems[0] ? said(plan.problems[0]) : plan.notice}` : '', at: { station: 'fairing', field: 'run-start' } },
      { met: !run?.exit, words: 'It could not be worked out: what to do stands there.', at: { station: 'fairing', field: 'run-start' } }] },
    { title: 'Paper', needs: [
      { met: false, words: 'Look at the sheet, print the template, take the drawing for the shop. Check two holes against the old part before you cut.', at: { station: 'paper', field: null } }] },
  ];
}

export class Path {
  /// `stations` gives {store, job, readings, fairing}; `job` opens its adders.
  constructor(stations) {
    this.stations = stations;
    this.list = el('ol', { class: 'path' });
    this.note = el('p', { class: 'needed' });  // what is needed now, where the path led to
    this.body = el('details', { id: 'path', class: 'station' }, el('summary', {}, el('h2', {}, 'Step by step')), this.list);
    this.body.addEventListener('toggle', () => this.onFold?.());
  }

  /// Unfolded where a job is not described yet, or nothing is measured; afterwards as the user left it.
  begin() {
    const now = this.#now();
    this.body.open = now < kReadings || now === kReadings && !this.stations.readings.any();
  }

  #now() { return stepsOf(this.stations).findIndex((step) => step.needs.some((need) => !need.met)); }

  /// What the strip says, while the path is unfolded: {words, go}.
  next() {
    if (!this.body.open || this.body.hidden) return null;
    const steps = stepsOf(this.stations);
    const now = this.#now();
    return { words: `Step ${now + 1} of ${steps.length}`, title: steps[now].title, go: () => this.go(steps[now].needs.find((need) => !need.met)) };
  }

  draw() {
    const steps = stepsOf(this.stations);
    const now = this.#now();
    const key = JSON.stringify(steps.map((step) => [step.done, step.needs.map((need) => [!!need.met, need.words])]));
    if (key === this.key) return;
    this.key = key;
    fill(this.list, steps.map((step, i) => {
      const need = step.needs.find((one) => !one.met);
      const state = i === now ? 'now' : i > now ? 'later' : 'done';
      return el('li', { class: state, 'aria-current': state === 'now' ? 'step' : null }, el('div', { class: 'line' }, el('b', {}, step.title), el('span', { class: 'says' }, state === 'now' ? 'now' : state === 'done' ? 'done' : 'to come'),
        el('button', { type: 'button', id: `step-${i + 1}`, class: state === 'now' ? 'main' : 'quiet', 'aria-label': `Go to it: ${step.title}`, onclick: () => this.go(need ?? step.needs.at(-1)) }, 'Go to it')),
      state === 'now' ? el('p', {}, need.words) : state === 'done' && step.done ? el('p', { class: 'says' }, step.done) : null);
    }));
  }

  /// Unfolds the place, says there what is needed, and puts the hand there.
  go({ at: { station, adder, kind, face, field }, words }) {
    document.getElementById(station).open = true;
    if (adder) this.stations.job.openAdder(adder, kind);
    const file = face && document.getElementById(`face-${face}`);
    if (file) file.open = true;
    const wanted = document.getElementById(field ?? (face ? `line-${face}` : '')) ?? (face ? document.getElementById(`begin-${face}`) : null)
      ?? document.querySelector(`#${station} [aria-invalid="true"]`) ?? document.querySelector(`#${station} > summary`);
    const place = wanted.closest('details');
    this.note.textContent = words;
    if (words) place.querySelector(':scope > summary').after(this.note);
    else this.note.remove();
    (field === 'field-title' ? this.note : place).scrollIntoView({ block: 'start' });
    wanted.focus({ preventScroll: true });
  }
}
