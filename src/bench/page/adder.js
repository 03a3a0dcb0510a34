// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// A form that adds something to the job, drawn while it is typed. What is wrong is said beside its field, and nothing is
// added until it can be drawn.
import { sketchOf } from './ask.js';
import { afterPause, el, fill, problemLine } from './dom.js';

const kPause_ms = 120;

/// A bare number becomes a number of the job's units; everything else stays as it was written.
export const length = (text) => (/^[-+]?(\d+\.?\d*|\.\d+)$/.test((text ?? '').trim()) ? Number(text) : (text ?? '').trim());

/// A job with nothing but what is being added and what it lies on.
export const jobOf = (job, what) => ({ format: 'fairhole job 1', title: 'sketch', ...(job.units ? { units: job.units } : {}),
  plates: [], parts: [], joints: [], patterns: {}, hole_groups: [], fasteners: {}, ...what });

/// Carriers by name: the plates, and the faces of old parts ("part/face").
export function carriersOf(job) {
  return [...(job?.plates ?? []).map((plate) => plate.name), ...(job?.parts ?? []).flatMap((part) => (part.faces ?? []).map((face) => `${part.id}/${face.name}`))];
}
/// The plates and parts that a carrier and these parts need to be drawn.
export const withCarrier = (job, carrier, parts = []) => ({
  plates: (job.plates ?? []).filter((plate) => plate.name === carrier),
  parts: (job.parts ?? []).filter((part) => parts.includes(part.id) || carrier?.startsWith(`${part.id}/`)) });
export const sketchedCarrier = (sketch, name) => sketch.plates.find((one) => one.name === name)
  ?? sketch.faces.filter((one) => `${one.part}/${one.face}` === name).map((one) => ({ ...one, name, marked_face: 'measured' }))[0];

export class Adder {
  /// A kind of adder has fields() (elements), made() ({what, alone, bare, change, needs}) and picture(sketch, made)
  /// (elements). `needs` are the keys that must be typed; `bare`, if any, is drawn while `alone` cannot be.
  constructor(store, { id, prefix, title }) {
    Object.assign(this, { store, prefix, typed: {} });
    this.form = el('div', {});
    this.wrong = el('div', { role: 'status' });
    this.drawing = el('div', { class: 'growing' });
    this.above = el('div', {});
    this.body = el('details', { id, class: 'adder' }, el('summary', {}, el('b', {}, title)), this.above,
      el('div', { class: 'side-by-side' }, el('div', {}, this.form, this.wrong), this.drawing));
    this.drawSoon = afterPause(kPause_ms, () => this.draw());
  }

  /// One field; typing redraws the picture, `anew` all fields too.
  field(key, words, input, { says, anew, long } = {}) {
    input.id = `${this.prefix}-${key}`;
    const problem = `${input.id}-wrong`;
    input.setAttribute('aria-describedby', problem);
    const take = () => { this.typed[key] = input.type === 'checkbox' ? input.checked : input.value; this.drawSoon(); };
    input.addEventListener('input', take);
    input.addEventListener('change', () => { take(); if (anew) this.begin(); });
    return el('div', { class: input.type === 'checkbox' ? 'field tick' : long ? 'field long' : 'field' },
      input.type === 'checkbox' ? [input, el('label', { for: input.id }, words)] : [el('label', { for: input.id }, words), input],
      says ? el('div', { class: 'says' }, says) : null, el('div', { id: problem, class: 'wrong' }));
  }
  text(key, words, hint, more) { return this.field(key, words, el('input', { autocomplete: 'off', placeholder: hint, value: this.typed[key] ?? '', list: more?.list }), more); }
  choice(key, words, options, more) {
    if (!options.some(([value]) => value === this.typed[key])) this.typed[key] = options[0]?.[0] ?? '';
    return this.field(key, words, el('select', { value: this.typed[key] }, options.map(([value, shown]) => el('option', { value }, shown))), more);
  }
  tick(key, words, more) { return this.field(key, words, el('input', { type: 'checkbox', checked: !!this.typed[key] }), more); }

  /// The fields as they now are to be.
  begin() {
    fill(this.form, this.fields());
    this.draw();
  }

  clear() {
    this.typed = {};
    fill(this.drawing);
    fill(this.wrong);
  }

  async #sketch(made) {
    return sketchOf(made.alone).catch((error) => ({ sketch: null, problems: error.problems ?? [] }));
  }

  async draw() {
    const made = this.made();
    this.asked = (this.asked ?? 0) + 1;
    const mine = this.asked;
    if (!made?.alone) return;
    const { sketch, problems } = await this.#sketch(made);
    if (mine !== this.asked) return;
    // What is not typed yet is no mistake.
    const begun = (problem) => {
      const key = this.#keyOf(problem, made);
      return document.getElementById(`${this.prefix}-${key}`) ? String(this.typed[key] ?? '').trim() : !/""|cannot be empty/.test(problem.what);
    };
    this.#say(problems.filter(begun), made);
    const shown = sketch ?? (made.bare ? (await sketchOf(made.bare).catch(() => ({ sketch: null }))).sketch : null);
    if (mine !== this.asked) return;
    if (shown) fill(this.drawing, this.picture(shown, made));
    else if (!this.drawing.firstChild) fill(this.drawing, el('p', { class: 'says' }, 'It is drawn here as it is typed: 12.5, 8 in, 4 3/16 in, as you like.'));
  }

  /// Beside its field what belongs to a field, below them the rest.
  #say(problems, made) {
    const fields = new Map([...this.form.querySelectorAll('[aria-describedby]')].map((input) => [input.id, input]));
    const said = new Map();
    const rest = problems.filter((problem) => {
      const input = fields.get(`${this.prefix}-${this.#keyOf(problem, made)}`);
      if (input) said.set(input.id, `${problem.what.split('\n')[0]}; ${problem.remedy}.`);
      return !input;
    });
    for (const [id, input] of fields) {
      input.setAttribute('aria-invalid', String(said.has(id)));
      document.getElementById(`${id}-wrong`).textContent = said.get(id) ?? '';
    }
    fill(this.wrong, rest.length ? el('ul', { class: 'problems' }, rest.map(problemLine)) : null);
    return [...said.keys()][0];
  }

  #keyOf(problem, made) {
    if (problem.key) return problem.key;
    const corner = /outline\[(\d)\]/.exec(problem.where);
    if (corner && !this.typed.corners) return Number(corner[1]) > 1 ? 'width' : 'length';
    const key = /([a-z_]+)(\[\d+\])*$/.exec(problem.where)?.[1];
    return made.keys?.[key] ?? key;
  }

  /// Adds it, or says what is still needed and goes there.
  async add() {
    const made = this.made();
    const missing = made.needs.filter((key) => !String(this.typed[key] ?? '').trim());
    let problems = missing.map((key) => ({ key, what: 'this is needed', remedy: 'write it as you measured it, in mm or inches', where: '', code: '' }));
    if (!missing.length) problems = made.wrong ?? (await this.#sketch(made)).problems;
    if (problems.length) {
      const first = this.#say(problems, made);
      if (first) document.getElementById(first).focus();
      return;
    }
    await this.store.saveJob(made.what, made.change);
    this.body.open = false;
    this.body.querySelector('summary').focus();
    this.clear();
    this.typed = this.next(made);
    this.begin();
  }

  /// What stands typed already for the next one.
  next() { return {}; }
}
