// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Readings: one line each, as they are taken; the face's sketch beside them.
import { adjust } from './ask.js';
import { ReadingsText, kColumns, kinds, readingFromLine } from './csv.js';
import { afterPause, el, fill, problemLine, svg } from './dom.js';
import { circle, datumEdge, ellipse95, outline, picture, words } from './draw.js';

const kSavePause_ms = 250;
/// What is said once above the rows: [name, words, choices or hint].
const kMeasuredWith = [
  ['unit', 'unit of bare numbers', [['', 'mm'], ['in', 'inches']]],
  ['tape', 'tape', [['', 'a rule or tape taken as true'], ['I', 'class I'], ['II', 'class II'], ['III', 'class III']]],
  ['resolution', 'read to', '0.5; 1/32 in an inch file'], ['centring', 'laid over a centre or rim within (1 sigma)', '0.25 mm'],
  ['caliper', 'diameters within (1 sigma)', '0.1 mm'], ['square', 'corner of the datum edges, degrees off square', '0 +- 0.2, if it is not sure']];

/// The face as measured: its outline, the holes found, their doubt enlarged.
function facePicture(face, survey, suspectHoles) {
  const holes = survey?.holes ?? [];
  const points = [...face.outline, ...holes.map((hole) => [hole.x, hole.y])];
  const width = Math.max(...face.outline.map((p) => p[0]), 1);
  const largest = Math.max(...holes.map((hole) => ellipse95(hole).major), 0.05);
  const enlarged = [1, 2, 5, 10, 20, 50].filter((factor) => factor * largest <= 0.04 * width).at(-1) ?? 1;
  return el('figure', {}, picture(points, `${face.part}, ${face.face}: holes as measured`, (root, pixel) => {
    root.append(outline(face.outline, 'plate'));
    root.append(datumEdge([0, 0], [1, 0], width, pixel));
    for (const hole of holes) {
      const at = [hole.x, hole.y];
      const doubt = ellipse95(hole);
      const looked = suspectHoles.has(hole.id);
      root.append(circle(at, Math.max((hole.diameter ?? 0) / 2, 4 * pixel), looked ? 'old look-again' : 'old'));
      root.append(svg('ellipse', { rx: doubt.major * enlarged, ry: doubt.minor * enlarged, class: 'doubt',
        transform: `translate(${hole.x} ${-hole.y}) rotate(${-doubt.turn_deg})` }));
      root.append(words([hole.x + Math.max((hole.diameter ?? 0) / 2, 4 * pixel) + 5 * pixel, hole.y + 7 * pixel], hole.id, 17 * pixel));
    }
  }), el('figcaption', {}, holes.length
    ? `${holes.length} holes. Ellipses: where each centre lies, 95 in 100${enlarged > 1 ? `, enlarged ${enlarged} times` : ''}. Broken rims: look again.`
    : 'No holes yet.'));
}

class ReadingsFile {
  constructor(store, face, name, onState) {
    Object.assign(this, { store, face, name, onState, text: new ReadingsText(store.text(name) ?? ''), found: null, shownText: store.text(name) });
    this.entry = el('input', { id: `line-${name}`, class: 'entry', autocomplete: 'off', spellcheck: false, placeholder: 'along A1 38',
      onkeydown: (e) => { if (e.key === 'Enter') this.#take(); }, onpaste: (e) => this.#paste(e) });
    this.wrong = el('p', { class: 'wrong', role: 'alert' });
    this.asks = el('b', { class: 'wrong' });
    this.table = el('div', { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': `readings of ${name}` });
    this.sketch = el('div', {});
    this.remarks = el('div', {});
    this.saveSoon = afterPause(kSavePause_ms, (what) => {
      this.#save(what, this.typed === what);
      this.typed = what;
    });
    this.body = el('div', { class: 'side-by-side' },
      el('div', {}, el('div', { class: 'field' }, el('label', { for: `line-${name}` }, 'Next reading: kind, hole, reading'), this.entry), this.wrong,
        el('p', { class: 'says' }, `Kinds: ${kinds.map((one) => one.kind).join(', ')}. Rows copied from a spreadsheet can be pasted here.`), this.#measuredWith(), this.table),
      el('div', {}, this.sketch, this.remarks));
    this.#rows();
    this.adjust();
  }

  /// The file on disk, changed by somebody else or taken back.
  follow() {
    const text = this.store.text(this.name);
    if (text === undefined || text === this.shownText || this.store.isSaving(this.name)) return;
    this.shownText = text;
    this.text = new ReadingsText(text);
    this.#rows();
    this.adjust();
  }

  #take() {
    const { row, wrong } = readingFromLine(this.entry.value);
    this.wrong.textContent = wrong ?? '';
    if (!row) return;
    this.entry.value = '';
    this.#add([row]);
  }

  #paste(event) {
    const lines = event.clipboardData.getData('text').split(/\r?\n/).filter((line) => line.trim());
    if (lines.length < 2 && !lines[0]?.includes('\t')) return;
    event.preventDefault();
    const taken = lines.filter((line) => !/^kind\b/i.test(line)).map(readingFromLine);
    const bad = taken.findIndex((one) => one.wrong);
    this.wrong.textContent = bad < 0 ? '' : `Line ${bad + 1} of what was pasted: ${taken[bad].wrong}. Nothing was taken.`;
    if (bad < 0) this.#add(taken.map((one) => one.row));
  }

  #add(rows) {
    for (const row of rows) this.text.add(row);
    this.#save(rows.length === 1 ? `reading ${rows[0].kind} ${rows[0].from}` : `${rows.length} readings pasted`);
    this.#rows();
    this.adjust();
    this.table.scrollTop = this.table.scrollHeight;
  }

  #save(what, joins = false) {
    this.shownText = this.text.toString();
    this.store.save(this.name, this.shownText, `${this.name}: ${what}`, joins);
  }

  #measuredWith() {
    const put = (name) => (e) => {
      this.text.setHeader(name, e.target.value.trim());
      this.#save(kMeasuredWith.find(([one]) => one === name)[1]);
      this.#rows();
      this.adjust();
    };
    const field = ([name, label, given]) => {
      const id = `with-${this.name}-${name}`;
      const own = this.text.header(name) ?? '';
      const value = name === 'unit' && own === 'mm' ? '' : own;
      const choices = Array.isArray(given) && (given.some(([one]) => one === value) ? given : [...given, [value, value]]);
      return el('div', { class: 'field' }, el('label', { for: id }, label), choices
        ? el('select', { id, value, onchange: put(name) }, choices.map(([one, shown]) => el('option', { value: one }, shown)))
        : el('input', { id, value, autocomplete: 'off', placeholder: given, onchange: put(name) }));
    };
    return el('details', {}, el('summary', {}, 'What it was measured with'), el('div', { class: 'columns' }, kMeasuredWith.map(field)));
  }

  #cell(row, number, column) {
    const input = el('input', { id: `cell-${this.name}-${number}-${column}`, value: row[column], 'aria-label': `row ${number}, ${column}`, autocomplete: 'off',
      class: `cell ${column}`, onfocus: () => { this.typed = null; }, onchange: () => this.saveSoon.now(), oninput: () => {
        this.text.set(row, column, input.value);
        row[column] = input.value;
        this.adjust();
        this.saveSoon(`row ${number}, ${column}`);
      } });
    return el('td', {}, input);
  }

  #rows() {
    const rows = this.text.rows();
    this.lines = new Map();
    fill(this.table, el('table', { class: 'readings' }, el('thead', {}, el('tr', {}, el('th', { scope: 'col' }, 'row'),
      kColumns.map((column) => el('th', { scope: 'col' }, column)), el('th', { scope: 'col' }, el('span', { class: 'unseen' }, 'take away')))),
    el('tbody', {}, rows.map((row, i) => {
      const line = el('tr', {}, el('th', { scope: 'row' }, String(i + 1)), kColumns.map((column) => this.#cell(row, i + 1, column)),
        el('td', {}, el('button', { type: 'button', class: 'quiet', 'aria-label': `take row ${i + 1} away`, onclick: () => {
          this.text.remove(row);
          this.#save(`row ${i + 1} taken away`);
          this.#rows();
          this.adjust();
        } }, '×')));
      this.lines.set(i + 1, line);
      return line;
    }))));
  }

  /// One question under way at a time; the newest text is asked about last: first where the holes lie, for the sketch to
  /// follow the typing, then, when the hand rests, what does not agree.
  async adjust() {
    this.asked = (this.asked ?? 0) + 1;
    if (this.asking) return;
    this.asking = true;
    for (let done = 0; done !== this.asked;) {
      done = this.asked;
      const text = this.text.toString();
      try {
        const places = await adjust(this.name, text, true);
        if (places.survey) fill(this.sketch, facePicture(this.face, places.survey, this.#suspectHoles()));
        if (done !== this.asked) continue;
        this.found = await adjust(this.name, text);
      } catch (error) {
        this.found = { survey: null, suspects: [], unchecked: [], next: [], problems: error.problems ?? [] };
      }
      this.#show();
    }
    this.asking = false;
  }

  #suspectHoles() {
    const rows = this.text.rows();
    return new Set((this.found?.suspects ?? []).flatMap(({ row }) => [rows[row - 1]?.from, rows[row - 1]?.to]));
  }

  #show() {
    const { survey, suspects, unchecked, next, problems } = this.found;
    const suspectRows = new Set(suspects.map((one) => one.row));
    for (const [number, line] of this.lines) {
      const state = suspectRows.has(number) ? 'look-again' : unchecked.includes(number) ? 'unchecked' : '';
      if (line.className !== state) line.className = state;  // a table of hundreds of fields is slow to style anew
    }
    if (survey || !this.sketch.firstChild) fill(this.sketch, facePicture(this.face, survey, this.#suspectHoles()));
    fill(this.remarks, problems.length ? el('ul', { class: 'problems' }, problems.map(problemLine)) : null,
      suspects.map((one) => el('p', { class: 'look-again' }, el('b', {}, 'Look again: '), one.words)),
      unchecked.length ? el('p', {}, `Nothing checks row ${unchecked.join(', ')}: a slip there would not be seen.`) : null,
      next.length ? el('p', {}, el('b', {}, 'Best next reading: '),
        next[0].gain >= 0.01 ? `${next[0].words} (takes ${next[0].gain.toFixed(2)} mm off the largest doubt)` : `${next[0].words}, which helps together with others`) : null);
    this.asks.textContent = suspects.length ? ' - look again' : problems.length ? ' - not clear yet' : '';
    this.onState();
  }

  count() { return { suspects: this.found?.suspects.length ?? 0, problems: this.found?.problems.length ?? 0, unchecked: this.found?.unchecked.length ?? 0 }; }

  /// Holes whose place and diameter are both measured.
  measured() { return this.found?.survey?.holes.filter((hole) => hole.diameter).length ?? 0; }
}

export class ReadingsStation {
  constructor(store, onState) {
    Object.assign(this, { store, onState, files: new Map(), body: el('div', {}) });
    store.addEventListener('changed', () => this.draw());
  }

  count() {
    const sum = { suspects: 0, problems: 0, unchecked: 0 };
    for (const file of this.files.values()) for (const [what, number] of Object.entries(file.count())) sum[what] += number;
    return sum;
  }
  any() { return [...this.files.values()].some((file) => file.text.rows().length > 0); }
  unchecked() { return this.count().unchecked; }
  firstTroubled() { return [...this.files.values()].find((file) => file.count().suspects + file.count().problems > 0)?.name; }
  stateOf(face) { return { holes: Math.max(0, ...(face.readings ?? []).map((name) => this.files.get(name)?.measured() ?? 0)) }; }

  words() {
    const { suspects, problems } = this.count();
    const say = [];
    if (suspects) say.push(`${suspects} ${suspects === 1 ? 'reading does' : 'readings do'} not agree`);
    if (problems) say.push(`${problems} ${problems === 1 ? 'readings file needs' : 'things in readings need'} a look`);
    return say.join('; ');
  }

  draw() {
    const { sketch } = this.store.about;
    if (!sketch) return;
    const wanted = sketch.faces.flatMap((face) => (face.readings ?? []).map((name) => ({ face, name })));
    const key = JSON.stringify([wanted.map(({ face, name }) => [face.part, face.face, face.outline, name]), wanted.map(({ name }) => this.store.text(name) === undefined)]);
    if (key !== this.key) {
      this.key = key;
      this.files.clear();
      fill(this.body, wanted.length ? wanted.map(({ face, name }) => this.#face(face, name)) : el('p', {}, 'No face names a readings file yet.'));
    }
    for (const file of this.files.values()) file.follow();
    this.onState();
  }

  async #begin(name) {
    await this.store.save(name, `# unit: ${this.store.job?.units ?? 'mm'}\n# tape: II\nkind,from,to,reading,sigma,note\n`, `${name} begun`);
    const entry = document.getElementById(`line-${name}`);
    if (!entry) return;
    document.getElementById(`face-${name}`).open = true;
    entry.focus();
  }

  #face(face, name) {
    const title = `${face.part}, ${face.face}`;
    if (this.store.text(name) === undefined) {
      return el('p', {}, `${title}: there is no file ${name} yet. `, el('button', { type: 'button', id: `begin-${name}`, onclick: () => this.#begin(name) }, `Begin ${name}`));
    }
    const file = new ReadingsFile(this.store, face, name, this.onState);
    this.files.set(name, file);
    return el('details', { id: `face-${name}` }, el('summary', {}, title, file.asks, el('small', {}, ` measured from the ${face.measured_from} side; ${name}`)), file.body);
  }
}
