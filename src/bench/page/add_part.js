// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// A new plate or part from a few dimensions, drawn while they are typed, as it lies and from which side it was measured.
import { sketchOf } from './ask.js';
import { afterPause, el, fill, problemLine } from './dom.js';
import { carrierPicture, endView } from './part_picture.js';

const kPause_ms = 120;
const length = (text) => (/^[-+]?(\d+\.?\d*|\.\d+)$/.test(text.trim()) ? Number(text) : text.trim());

/// What each kind asks for: [key, words, hint]; and the faces it then has.
const kKinds = {
  'new plate': { fields: [['length', 'long datum edge', '900'], ['width', 'height', '420'], ['thickness', 'thickness', '12']] },
  angle: { fields: [['length', 'length', '11 3/4 in'], ['width', 'leg on the plate', '3 1/2 in'], ['other', 'other leg', '3 1/2 in'], ['thickness', 'thickness', '1/2 in']],
    faces: (d) => [{ name: 'plate-leg', width: d.width }, { name: 'other-leg', width: d.other }] },
  beam: { fields: [['length', 'length', '1200'], ['width', 'height', '300'], ['thickness', 'thickness where the holes are', '20']], faces: (d) => [{ name: 'back', width: d.width }] },
  bracket: { fields: [['length', 'foot along its datum edge', '8 in'], ['width', 'foot away from it', '5 in'], ['thickness', 'thickness of the foot', '16']], faces: (d) => [{ name: 'foot', width: d.width }] },
  casting: { fields: [['length', 'flange along its datum edge', '240'], ['width', 'flange away from it', '110'], ['thickness', 'thickness of the flange', '25']], faces: (d) => [{ name: 'flange', width: d.width }] },
  'old plate': { fields: [['length', 'long datum edge', '600'], ['width', 'height', '420'], ['thickness', 'thickness', '12']], faces: (d) => [{ name: 'face', width: d.width }] },
};

export class AddPart {
  constructor(store) {
    Object.assign(this, { store, kind: null, typed: {} });
    this.form = el('div', {});
    this.picture = el('div', { class: 'growing' });
    this.wrong = el('div', {});
    this.body = el('details', { id: 'add-part' }, el('summary', {}, el('b', {}, 'Add a plate or a part')),
      el('div', { class: 'line', role: 'group', 'aria-label': 'what it is' }, Object.keys(kKinds).map((kind) => el('button', { type: 'button', 'data-kind': kind, 'aria-pressed': 'false', onclick: () => this.#choose(kind) }, kind))),
      el('div', { class: 'side-by-side' }, el('div', {}, this.form, this.wrong), this.picture));
    this.drawSoon = afterPause(kPause_ms, () => this.#draw());
  }

  #choose(kind) {
    this.kind = kind;
    for (const button of this.body.querySelectorAll('[data-kind]')) button.setAttribute('aria-pressed', String(button.dataset.kind === kind));
    const plates = (this.store.job?.plates ?? []).map((plate) => plate.name);
    const text = (key, words, hint) => this.#field(key, words, el('input', { autocomplete: 'off', placeholder: hint, value: this.typed[key] ?? '' }));
    const choice = (key, words, options) => this.#field(key, words, el('select', { value: this.typed[key] ?? options[0][0] }, options.map(([value, shown]) => el('option', { value }, shown))));
    const common = kind === 'new plate'
      ? [choice('hand', 'hand, from the rear looking towards the toe', [['', '-'], ['LEFT', 'LEFT'], ['RIGHT', 'RIGHT']]), text('marked_face', 'the face it is marked out on', 'outer')]
      : [choice('measured_from', 'measured from', [['outer', 'the outer side: you look at it as it is bolted on'], ['faying', 'the faying side, which touches the plate: it lies turned over']]),
        text('datum_end', 'which end the datum corner lies at', 'toe end, heel'),
        plates.length ? [choice('on', 'lies on', [['', 'nothing yet'], ...plates.map((name) => [name, name])]),
          choice('side', 'on the side', [['marked', 'that is marked out'], ['other', 'that is not']]),
          text('x', 'its datum corner: x on the plate', '0'), text('y', 'its datum corner: y on the plate', '0'), text('turn_deg', 'where its long datum edge points, degrees', '0')] : null];
    fill(this.form, el('div', { class: 'columns' }, text('name', 'name', kind === 'new plate' ? 'left-toe' : 'left-near-angle'), kKinds[kind].fields.map((one) => text(...one)), common),
      el('button', { type: 'button', id: 'add-it', class: 'main', onclick: () => this.#add() }, `Add this ${kind}`));
    this.#draw();
  }

  #field(key, words, input) {
    input.id = `new-${key}`;
    const take = () => { this.typed[key] = input.value; this.drawSoon(); };
    input.addEventListener('input', take);
    input.addEventListener('change', take);
    return el('div', { class: 'field' }, el('label', { for: input.id }, words), input);
  }

  /// What is typed, as the job would say it.
  #made() {
    const { kind, typed } = this;
    const dims = Object.fromEntries(kKinds[kind].fields.map(([key]) => [key, length(typed[key] ?? '')]));
    const name = (typed.name ?? '').trim() || kind;
    if (kind === 'new plate') {
      const { length: l, width: w } = dims;
      return { plate: { name, ...(typed.hand ? { hand: typed.hand } : {}), marked_face: typed.marked_face?.trim() || 'outer', thickness: dims.thickness, outline: [[0, 0], [l, 0], [l, w], [0, w]] } };
    }
    const faces = kKinds[kind].faces(dims).map((face) => ({ ...face, length: dims.length, thickness: dims.thickness, measured_from: typed.measured_from || 'outer',
      ...(typed.datum_end?.trim() ? { datum_end: typed.datum_end.trim() } : {}), readings: [`readings/${name}-${face.name}.csv`] }));
    const part = { id: name, kind, faces };
    if (!typed.on) return { part };
    return { part, joint: { name: `${name} on ${typed.on}`, part: name, face: faces[0].name, on: typed.on, side: typed.side || 'marked',
      seat: { x: length(typed.x || '0'), y: length(typed.y || '0'), turn_deg: Number(typed.turn_deg) || 0 }, groups: [] } };
  }

  async #draw() {
    const { job } = this.store;
    const made = this.#made();
    const alone = { format: 'fairhole job 1', title: 'sketch', ...(job.units ? { units: job.units } : {}),
      plates: made.plate ? [made.plate] : (job.plates ?? []).filter((plate) => plate.name === made.joint?.on),
      parts: made.part ? [made.part] : [], joints: made.joint ? [made.joint] : [], patterns: {}, hole_groups: [], fasteners: {} };
    this.asked = (this.asked ?? 0) + 1;
    const mine = this.asked;
    const { sketch, problems } = await sketchOf(alone).catch((error) => ({ sketch: null, problems: error.problems ?? [] }));
    if (mine !== this.asked) return;
    // What is not typed yet is no mistake.
    const said = problems.filter((problem) => !/""|cannot be empty/.test(problem.what));
    fill(this.wrong, said.length && Object.keys(this.typed).length > 2 ? el('ul', { class: 'problems' }, said.map(problemLine)) : null);
    if (!sketch) {
      if (!this.picture.firstChild) fill(this.picture, el('p', { class: 'says' }, 'It is drawn here as its dimensions are typed: 12.5, 8 in, 4 3/16 in, as you like.'));
      return;
    }
    const carrier = sketch.plates[0];
    const shown = carrier ?? { ...sketch.faces[0], outline: sketch.faces[0].outline, faces: [], holes: [] };
    fill(this.picture, el('figure', {}, el('figcaption', {}, made.part && !carrier ? `${made.part.faces[0].name}, seen looking at its ${made.part.faces[0].measured_from} side` : `${carrier.name}, seen looking at its ${carrier.marked_face} face`),
      carrierPicture(shown, 'what is being added', { sizes: !carrier || !!made.plate })), made.joint ? endView(made.joint, made.part, carrier) : null);
  }

  #add() {
    const { plate, part, joint } = this.#made();
    this.store.saveJob(`${plate?.name ?? part.id} added`, (job) => {
      if (plate) job.plates = [...(job.plates ?? []), plate];
      if (part) job.parts = [...(job.parts ?? []), part];
      if (joint) job.joints = [...(job.joints ?? []), joint];
    });
    this.typed = {};
    this.#choose(this.kind);
    fill(this.picture);
    this.body.open = false;
  }
}
