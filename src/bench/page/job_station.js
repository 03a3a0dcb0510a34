// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Parts and joints: the job's fields beside a drawing of what they say.
import { afterPause, el, fill, problemLine, whenHandRests } from './dom.js';
import { AddHoles } from './add_holes.js';
import { AddJoint } from './add_joint.js';
import { AddPart } from './add_part.js';
import { Form, put, wordsFor } from './form.js';
import { carrierPicture } from './part_picture.js';

const kTypePause_ms = 200;
const kStations = ['plates', 'parts', 'fasteners', 'patterns', 'hole_groups', 'joints', 'pairs', 'rules', 'costs'];

function handWords(face, carrier) {
  const side = face.side === 'marked' ? `the ${carrier.marked_face ?? 'measured'} side` : 'the far side';
  return `${face.part}, ${face.face}: on ${side}, measured from its ${face.measured_from} side` +
    (face.seen_from_behind ? '; seen from here its lettering stands in mirror writing, for you look at its back.' : '.');
}

function carrierDrawing(carrier, name) {
  return el('figure', {}, el('figcaption', {}, el('b', {}, name), carrier.hand ? ` ${carrier.hand}` : '',
    carrier.marked_face ? `, seen looking at its ${carrier.marked_face} face` : ''),
  carrierPicture(carrier, `${name} with the parts on it`),
  el('ul', { class: 'plain' }, carrier.faces.map((face) => el('li', {}, handWords(face, carrier)))));
}

export class JobStation {
  constructor(store, schema) {
    this.store = store;
    this.schema = schema;
    this.form = new Form(schema, (path, value) => {
      const said = value === undefined ? `${Form.where(path)} taken away` : Form.where(path);
      this.typeSoon.now();
      this.typed = null;
      store.saveJob(said, (job) => put(job, path, value), this.joins === said).then(() => this.drawSoon());
      this.joins = null;
      this.drawSoon();
    }, (path, value) => {
      this.typed = Form.where(path);
      this.typeSoon(path, value);
    });
    this.typeSoon = afterPause(kTypePause_ms, (path, value) => {
      const said = Form.where(path);
      store.saveJob(said, (job) => put(job, path, value), this.joins === said);
      this.joins = said;
    });
    this.drawSoon = whenHandRests(() => this.draw());
    this.drawings = el('div', { class: 'drawings', tabindex: 0, role: 'region', 'aria-label': 'what the job describes' });
    this.fields = el('div', { class: 'fields' });
    this.adders = { part: new AddPart(store), joint: new AddJoint(store), holes: new AddHoles(store) };
    for (const [name, adder] of Object.entries(this.adders)) adder.body.addEventListener('toggle', () => { if (adder.body.open && name !== 'part') adder.begin(); });
    this.body = el('div', {}, Object.values(this.adders).map((adder) => adder.body), el('div', { class: 'side-by-side' }, this.fields, this.drawings));
    store.addEventListener('changed', () => {
      const now = JSON.stringify([store.job, store.about.problems]);
      if (now !== this.drawn) this.drawSoon();
    });
  }

  /// Unfolds the form that adds a part (of this kind), a joint or holes.
  openAdder(name, kind) {
    const adder = this.adders[name];
    adder.body.open = true;
    const isPlate = (one) => one === 'new plate';
    if (kind && (!adder.kind || isPlate(adder.kind) !== isPlate(kind))) adder.choose(kind);  // an old part of any kind will do
    else adder.begin();
  }

  words() {
    const { problems } = this.store.about;
    if (this.store.text('job.json') === undefined) return '';
    return problems.length ? `${problems.length} ${problems.length === 1 ? 'thing' : 'things'} in the job to put right` : '';
  }

  draw() {
    const { about, job } = this.store;
    if (this.store.text('job.json') === undefined) return;
    this.drawn = JSON.stringify([job, about.problems]);
    this.form.problems = about.problems;
    if (about.sketch) this.#sketch(about.sketch);
    else if (!this.drawings.firstChild) fill(this.drawings, el('p', {}, 'The drawing appears once the job can be read.'));
    if (this.#isTyping()) {  // the field under the hand stays as it is
      this.form.mark(this.fields);
      return;
    }
    const shown = new Set(this.#known(about.problems));
    const rest = about.problems.filter((problem) => !shown.has(problem));
    fill(this.fields,
      rest.length ? el('ul', { class: 'problems', 'aria-label': 'to put right' }, rest.map(problemLine)) : null,
      job === null ? el('p', {}, 'job.json is no JSON. Take the last change back, or mend it in an editor.') : [
        this.form.field(this.schema.properties.title, job.title, ['title'], 'title', true),
        this.form.field(this.schema.properties.units, job.units, ['units'], 'unit of bare numbers'),
        this.form.field(this.schema.properties.date, job.date, ['date'], 'date'),
        kStations.map((key) => this.form.field(this.schema.properties[key], job[key], [key], wordsFor(key),
          this.schema.required.includes(key)))]);
  }

  #isTyping() {
    const field = document.activeElement?.closest?.('.field[data-where]');
    return this.typed && field && this.fields.contains(field) && field.dataset.where === this.typed;
  }

  #known(problems) {
    const known = ['title', 'units', 'date', ...kStations];
    return problems.filter((problem) => known.some((key) => problem.where.replace(/^[^:]*: /, '').startsWith(key)));
  }

  #sketch({ plates, faces }) {
    fill(this.drawings, plates.map((plate) => carrierDrawing(plate, plate.name)),
      faces.filter((face) => face.faces.length || face.holes.length).map((face) => carrierDrawing(face, `${face.part}, ${face.face}`)));
  }
}
