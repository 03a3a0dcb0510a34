// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Parts and joints: the job's fields beside a drawing of what they say.
import { afterPause, el, fill, problemLine } from './dom.js';
import { picture, outline, circle, words, datumEdge, path } from './draw.js';
import { Form, put, wordsFor } from './form.js';
import { svg } from './dom.js';

const kTypePause_ms = 200;
const kStations = ['plates', 'parts', 'fasteners', 'patterns', 'hole_groups', 'joints', 'pairs', 'rules', 'costs'];

/// One carrier with the drawing's holes and the outlines of what lies on it.
export function carrierPicture(carrier, label) {
  const points = [...carrier.outline, ...carrier.faces.flatMap((face) => face.outline)];
  return picture(points, label, (root, pixel) => {
    root.append(outline(carrier.outline, 'plate'));
    const longest = Math.max(...carrier.outline.map((p) => p[0]));
    root.append(datumEdge([0, 0], [1, 0], longest, pixel));
    for (const place of carrier.keep_outs ?? []) root.append(outline(place.outline, 'keep-out'));
    if (carrier.joint_line) root.append(svg('path', { d: path(carrier.joint_line).slice(0, -1), class: 'joint-line' }));
    for (const face of carrier.faces) {
      root.append(outline(face.outline, face.side === 'marked' ? 'face' : 'face behind'));
      root.append(datumEdge(face.datum_corner, face.along, 70 * pixel, pixel));
      const corner = face.datum_corner;
      root.append(words([corner[0] + 8 * pixel, corner[1] + (face.seen_from_behind ? -20 : 10) * pixel],
        `${face.part}, ${face.face}`, 15 * pixel));
    }
    for (const hole of carrier.holes) root.append(circle([hole.x, hole.y], Math.max((hole.diameter ?? 0) / 2, 2.5 * pixel), 'drawn'));
  });
}

function handWords(face, carrier) {
  const side = face.side === 'marked' ? `the ${carrier.marked_face ?? 'measured'} side` : 'the far side';
  return `${face.part}, ${face.face}: on ${side}, measured from its ${face.measured_from} side` +
    (face.seen_from_behind ? '; seen from here its x runs as the tick marks show, and its y the other way.' : '.');
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
      store.saveJob(said, (job) => put(job, path, value), this.joins === said).then(() => this.draw());
      this.joins = null;
      this.draw();
    }, (path, value) => this.typeSoon(path, value));
    this.typeSoon = afterPause(kTypePause_ms, (path, value) => {
      this.typed = Form.where(path);
      store.saveJob(this.typed, (job) => put(job, path, value), this.joins === this.typed);
      this.joins = this.typed;
    });
    this.drawings = el('div', { class: 'drawings', tabindex: 0, role: 'region', 'aria-label': 'what the job describes' });
    this.fields = el('div', { class: 'fields' });
    this.body = el('div', { class: 'side-by-side' }, this.fields, this.drawings);
    store.addEventListener('changed', () => this.draw());
  }

  words() {
    const { problems } = this.store.about;
    return problems.length ? `${problems.length} ${problems.length === 1 ? 'thing' : 'things'} in the job to put right` : '';
  }

  draw() {
    const { about, job } = this.store;
    if (this.store.text('job.json') === undefined) return;
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
