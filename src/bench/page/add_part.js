// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// A new plate or part from a few dimensions or its corners, drawn while they are typed, as it lies and from which side it
// was measured.
import { Adder, jobOf, length } from './adder.js';
import { el, fill } from './dom.js';
import { OutlinePad, cornersIn } from './outline_pad.js';
import { carrierPicture, endView } from './part_picture.js';
import { kSeatKeys, seatFields, seatOf } from './seat_fields.js';

const kLong = 'long datum edge';
/// What each kind asks for: [key, words, hint]; the faces it then has; whether it may have any outline.
const kKinds = {
  'new plate': { fields: [['length', kLong, '900'], ['width', 'height', '420'], ['thickness', 'thickness', '12']], any: true },
  angle: { fields: [['length', 'length', '11 3/4 in'], ['width', 'leg on the plate', '3 1/2 in'], ['thickness', 'thickness', '1/2 in'], ['other', 'other leg, if its holes were measured too', '3 1/2 in']],
    faces: (d) => [{ name: 'plate-leg', width: d.width }, ...(d.other ? [{ name: 'other-leg', width: d.other }] : [])] },
  beam: { fields: [['length', 'length', '1200'], ['width', 'height', '300'], ['thickness', 'thickness where the holes are', '20']], faces: (d) => [{ name: 'back', width: d.width }] },
  bracket: { fields: [['length', 'foot along its datum edge', '8 in'], ['width', 'foot away from it', '5 in'], ['thickness', 'thickness of the foot', '16']], faces: (d) => [{ name: 'foot', width: d.width }], any: true },
  casting: { fields: [['length', 'flange along its datum edge', '240'], ['width', 'flange away from it', '110'], ['thickness', 'thickness of the flange', '25']], faces: (d) => [{ name: 'flange', width: d.width }], any: true },
  'old plate': { fields: [['length', kLong, '600'], ['width', 'height', '420'], ['thickness', 'thickness', '12']], faces: (d) => [{ name: 'face', width: d.width }], any: true },
};

export class AddPart extends Adder {
  constructor(store) {
    super(store, { id: 'add-part', prefix: 'new', title: 'Add a plate or a part' });
    fill(this.above, el('div', { class: 'line', role: 'group', 'aria-label': 'what it is' }, Object.keys(kKinds).map((kind) =>
      el('button', { type: 'button', 'data-kind': kind, 'aria-pressed': 'false', onclick: () => this.choose(kind) }, kind))));
  }

  choose(kind) {
    this.kind = kind;
    for (const button of this.body.querySelectorAll('[data-kind]')) button.setAttribute('aria-pressed', String(button.dataset.kind === kind));
    this.begin();
  }

  fields() {
    const { kind, typed } = this;
    const { fields, any } = kKinds[kind];
    const plates = (this.store.job?.plates ?? []).map((plate) => plate.name);
    const byCorners = any && typed.shape === 'corners';
    const own = kind === 'new plate'
      ? [this.choice('hand', 'hand, from the rear looking towards the toe', [['', '-'], ['LEFT', 'LEFT'], ['RIGHT', 'RIGHT']]), this.text('marked_face', 'the face it is marked out on', 'outer')]
      : [this.choice('measured_from', 'measured from', [['outer', 'the outer side: you look at it as it is bolted on'], ['faying', 'the faying side, which touches the plate: it lies turned over']], { long: true }),
        this.text('datum_end', 'which end the datum corner lies at', 'toe end, heel'),
        plates.length ? [this.choice('on', 'lies on', [['', 'nothing yet'], ...plates.map((name) => [name, name])], { anew: true }),
          typed.on ? seatFields(this, this.store.job) : null] : null];
    return [el('div', { class: 'columns' }, this.text('name', 'name', kind === 'new plate' ? 'left-toe' : 'left-near-angle'),
      any ? this.choice('shape', 'shape', [['rectangle', 'a rectangle'], ['corners', 'another: corner by corner']], { anew: true }) : null,
      fields.filter(([key]) => !byCorners || key === 'thickness').map((one) => this.text(...one))),
    byCorners ? this.#corners() : null, el('div', { class: 'columns' }, own),
    el('button', { type: 'button', id: 'add-it', class: 'main', onclick: () => this.add() }, `Add this ${kind}`)];
  }

  /// Corners typed, or pressed on the pad.
  #corners() {
    const area = el('textarea', { rows: 6, value: this.typed.corners ?? '', placeholder: '0, 0' });
    const field = this.field('corners', 'its corners, once round: x, y', area, { says: 'One to a line, from the datum corner 0, 0 along the long datum edge; mm or inches. Or press them on the squared paper.' });
    const pad = new OutlinePad(area, this.store.job?.units);
    return [field, pad.root, pad.scale, el('div', { class: 'line' }, el('button', { type: 'button', class: 'quiet', onclick: () => pad.undo() }, 'Take the last corner away'))];
  }

  /// What is typed, as the job would say it.
  made() {
    const { kind, typed } = this;
    if (!kind) return null;
    const { fields, faces, any } = kKinds[kind];
    const dims = Object.fromEntries(fields.map(([key]) => [key, length(typed[key])]));
    const name = (typed.name ?? '').trim() || kind;
    const corners = any && typed.shape === 'corners' ? cornersIn(typed.corners ?? '').map((corner) => corner.map(length)) : null;
    const needs = ['name', ...(corners ? ['corners', 'thickness'] : fields.map(([key]) => key).filter((key) => key !== 'other'))];
    const { job } = this.store;
    const taken = kind === 'new plate' ? job.plates?.some((plate) => plate.name === name) : job.parts?.some((part) => part.id === name);
    const wrong = taken ? [{ key: 'name', where: '', what: `there is one called ${name} already`, remedy: 'give it another name', code: '' }] : undefined;
    const made = { what: `${name} added`, needs, wrong, keys: { ...kSeatKeys, outline: 'corners', id: 'name' } };
    if (kind === 'new plate') {
      const { length: l, width: w } = dims;
      const plate = { name, ...(typed.hand ? { hand: typed.hand } : {}), marked_face: typed.marked_face?.trim() || 'outer', thickness: dims.thickness, outline: corners ?? [[0, 0], [l, 0], [l, w], [0, w]] };
      return { ...made, plate, alone: jobOf(job, { plates: [plate] }), change: (all) => { all.plates = [...(all.plates ?? []), plate]; } };
    }
    const part = { id: name, kind, faces: faces(dims).map(({ name: face, width }) => ({ name: face, ...(corners ? { outline: corners } : { width, length: dims.length }), thickness: dims.thickness, measured_from: typed.measured_from || 'outer',
      ...(typed.datum_end?.trim() ? { datum_end: typed.datum_end.trim() } : {}), readings: [`readings/${name}-${face}.csv`] })) };
    const joint = typed.on ? { name: `${name} on ${typed.on}`, part: name, face: part.faces[0].name, on: typed.on, ...seatOf(typed), groups: [] } : null;
    const plates = joint ? (job.plates ?? []).filter((plate) => plate.name === joint.on) : [];
    return { ...made, part, joint, alone: jobOf(job, { plates, parts: [part], joints: joint ? [joint] : [] }), change: (all) => {
      all.parts = [...(all.parts ?? []), part];
      if (joint) all.joints = [...(all.joints ?? []), joint];
    } };
  }

  picture(sketch, { part, plate, joint }) {
    const carrier = sketch.plates[0];
    const face = sketch.faces[0];
    const shown = carrier ?? { ...face, faces: [], holes: [] };
    return [el('figure', {}, el('figcaption', {}, carrier ? `${carrier.name}, seen looking at its ${carrier.marked_face} face` : `${face.face}, seen looking at its ${face.measured_from} side`),
      carrierPicture(shown, 'what is being added', { sizes: !carrier || !!plate })), joint ? endView(joint, part, carrier) : null];
  }
}
