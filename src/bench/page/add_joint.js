// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Which face sits where: a face of a part laid on a plate, or on another old face.
import { Adder, carriersOf, jobOf, sketchedCarrier, withCarrier } from './adder.js';
import { el } from './dom.js';
import { carrierPicture, endView } from './part_picture.js';
import { kSeatKeys, seatFields, seatOf } from './seat_fields.js';

const pairs = (names) => names.map((name) => [name, name]);

export class AddJoint extends Adder {
  constructor(store) { super(store, { id: 'add-joint', prefix: 'lay', title: 'Lay a face where it sits' }); }

  #faces() {
    return (this.store.job?.parts ?? []).flatMap((part) => (part.faces ?? []).map((face) => [part.id, face.name]));
  }

  fields() {
    const { job } = this.store;
    const laid = (part, face) => (job.joints ?? []).some((joint) => joint.part === part && joint.face === face);
    const faces = this.#faces().sort((a, b) => laid(...a) - laid(...b)).map(([part, face]) => [`${part}/${face}`, `${part}, ${face}${laid(part, face) ? ' (lies somewhere already)' : ''}`]);
    if (faces.length === 0) return [el('p', {}, 'No part is described yet: add one first.')];
    const which = this.choice('which', 'the face', faces, { anew: true });
    const carriers = carriersOf(job).filter((name) => !name.startsWith(`${this.typed.which.split('/')[0]}/`));
    if (carriers.length === 0) return [el('p', {}, 'There is nothing yet that it could lie on: add the new plate first.')];
    const on = this.choice('on', 'lies on', pairs(carriers), { anew: true });
    const groups = this.#groups();
    for (const { name } of groups) this.typed[`group ${name}`] ??= true;
    return [el('div', { class: 'columns' }, which, on, seatFields(this, job)),
      groups.length ? el('fieldset', {}, el('legend', {}, 'it has its part in these holes'), groups.map(({ name }) => this.tick(`group ${name}`, name))) : null,
      el('button', { type: 'button', id: 'lay-it', class: 'main', onclick: () => this.add() }, 'Lay it so')];
  }

  #groups() { return (this.store.job.hole_groups ?? []).filter((group) => group.on === this.typed.on); }

  made() {
    const { job } = this.store;
    const { typed } = this;
    if (!typed.which || !typed.on) return null;
    const [part, face] = this.#faces().find(([id, name]) => `${id}/${name}` === typed.which) ?? [];
    const joint = { name: `${part} on ${typed.on}`, part, face, on: typed.on, ...seatOf(typed), groups: this.#groups().map(({ name }) => name).filter((name) => typed[`group ${name}`]) };
    for (let i = 2; (job.joints ?? []).some((one) => one.name === joint.name); i += 1) joint.name = `${part} on ${typed.on} ${i}`;
    const others = (job.joints ?? []).filter((one) => one.on === typed.on).map((one) => ({ ...one, groups: [], pins: undefined, blank: undefined }));
    return { what: `${part} laid on ${typed.on}`, joint, needs: ['x', 'y'], keys: kSeatKeys,
      alone: jobOf(job, { ...withCarrier(job, typed.on, [part, ...others.map((one) => one.part)]), joints: [...others, { ...joint, groups: [] }] }),
      change: (all) => { all.joints = [...(all.joints ?? []), joint]; } };
  }

  picture(sketch, { joint }) {
    const carrier = sketchedCarrier(sketch, joint.on);
    const part = this.store.job.parts.find((one) => one.id === joint.part);
    return [el('figure', {}, el('figcaption', {}, `${carrier.name}, seen looking at its ${carrier.marked_face} face`), carrierPicture(carrier, 'where it lies')), endView(joint, part, carrier)];
  }
}
