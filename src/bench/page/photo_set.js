// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// One set of pictures that are read together: what is said of it, the face laid flat, the holes found and what a person
// says of them. Every correction is a line of `by_hand` in the job; the pictures are then read again.
import { adjust, needBoard, photos } from './ask.js';
import { el, fill, problemLine } from './dom.js';
import { FlatView } from './flat_view.js';
import { Placing, toFace } from './photo_place.js';
import { drawHoles } from './photo_marks.js';

const kPoll_ms = 300;
const kReach_mm = 4;  // as the program: a mark speaks of the hole that near to it, or within its bore
const kReachShare = 0.6;

const round = (value) => Number(value.toFixed(2));
const near = (a, b) => Math.hypot(a.x - b.x, a.y - b.y) <= Math.max(kReach_mm, kReachShare * (a.diameter ?? 0));

export class PhotoSet {
  constructor(store, part, face, index, onState) {
    Object.assign(this, { store, part, face, index, onState, answer: null, chosen: null, tool: 'look', problems: [] });
    this.id = `${part}/${face}/${index}`;
    this.fields = el('div', { class: 'fields' });
    this.bar = el('div', { class: 'line' });
    this.tools = el('div', { class: 'line', role: 'group', 'aria-label': 'what a press on the picture does' });
    this.hint = el('p', { role: 'status', class: 'says' });
    this.says = el('div', {});
    this.list = el('div', { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': 'holes found' });
    this.view = new FlatView(`${part}, ${face}: pictures laid flat`, {
      draw: (group, pixel) => drawHoles(this, group, pixel), tap: (at, target) => this.#tap(at, target), grab: (e) => this.#grab(e) });
    this.placing = new Placing(this);
    this.seen = el('div', { class: 'side-by-side', hidden: true }, el('div', {}, this.tools, this.hint, this.view.element), this.list);
    this.body = el('section', { class: 'photo-set', 'aria-label': `pictures ${index + 1} of ${part}, ${face}` }, this.fields, this.bar, this.says, this.seen);
  }

  own() { return this.store.job?.parts?.find((one) => one.id === this.part)?.faces?.find((one) => one.name === this.face)?.photos?.[this.index]; }
  holes() { return this.answer?.reading?.holes ?? []; }
  marks() { return this.answer?.by_hand ?? []; }
  markOf(hole) { return this.marks().findIndex((mark) => near(hole, mark)); }
  /// Marks of holes where the program sees no rim.
  lostMarks() { return this.marks().filter((mark) => mark.is === 'hole' && !this.holes().some((hole) => near(hole, mark))); }
  dismissed(hole) { return this.marks().some((mark) => mark.is === 'no hole' && near(hole, mark)); }
  doubtful() { return this.holes().filter((hole) => hole.doubtful && !this.dismissed(hole)).length + this.lostMarks().length; }
  words() {
    const n = this.doubtful();
    return n ? `${n} to look at again` : this.answer && !this.answer.reading && !this.answer.working ? 'not read yet' : '';
  }

  /// Changes the set in the job; `read` says whether the pictures are then read again.
  async change(what, alter, read = false) {
    await this.store.saveJob(`${this.part}, ${this.face}, pictures: ${what}`, (job) => {
      const face = job.parts.find((one) => one.id === this.part).faces.find((one) => one.name === this.face);
      alter(face.photos[this.index], face, job);
    });
    if (this.own()) await this.#ask(read ? 'start' : 'look');
  }

  look() { if (!this.asking) this.#ask('look'); }

  async #ask(what) {
    this.asking = true;
    try {
      const answer = await photos(this.part, this.face, this.index, what);
      if (answer.reading || !this.answer?.reading) this.answer = answer;
      else Object.assign(this.answer, { working: answer.working, here: answer.here, seconds: answer.seconds, said: answer.said, at: answer.at, by_hand: answer.by_hand, stale: !answer.working || !answer.here });
      if (answer.reading) this.view.show(answer.flat, answer.reading.flat.low, answer.reading.flat.high);
      this.problems = [];
      if (answer.working && answer.here) setTimeout(() => this.#ask('look'), kPoll_ms);
      else this.#taped();
    } catch (error) {
      this.problems = error.problems ?? [];
    }
    this.asking = false;
    this.draw();
    this.onState();
  }

  /// What the readings say of the same face, to be drawn beside what the pictures show.
  async #taped() {
    const face = this.store.job?.parts?.find((one) => one.id === this.part)?.faces?.find((one) => one.name === this.face);
    const name = face?.readings?.[0];
    const text = name && this.store.text(name);
    if (!text || text === this.tapedText) return;
    this.tapedText = text;
    this.taped = (await adjust(name, text).catch(() => null))?.survey?.holes ?? [];
    this.view.redraw();
  }

  draw() {
    const set = this.own();
    if (!set) return;
    this.#fields(set);
    const { answer } = this;
    const working = answer?.working && answer.here;
    fill(this.bar, working
      ? [el('progress', { 'aria-label': 'reading the pictures' }), el('span', {}, `Reading the pictures, ${answer.seconds.toFixed(0)} s.`),
        el('button', { type: 'button', onclick: () => this.#ask('stop') }, 'Stop')]
      : [el('button', { type: 'button', class: answer?.reading && !answer.stale ? null : 'main', onclick: () => this.#ask('start') }, answer?.reading ? 'Read again' : 'Read the holes'),
        answer?.stale ? el('span', { class: 'look-again' }, 'Something has changed since these were read.') : null,
        el('button', { type: 'button', class: 'quiet', onclick: () => this.change('taken away', (_, face) => {
          face.photos.splice(this.index, 1);
          if (face.photos.length === 0) delete face.photos;
        }) }, 'Take these pictures away')]);
    fill(this.says, this.problems.length ? el('ul', { class: 'problems' }, this.problems.map(problemLine)) : null,
      !working && answer?.said ? el('pre', { class: 'said wrong' }, answer.said.trim()) : null);
    this.seen.hidden = !answer?.reading;
    if (!answer?.reading) return;
    this.#tools();
    this.#list();
    this.view.redraw();
  }

  #fields(set) {
    const boards = (set.boards ?? []).map((file) => ({ file, ...this.#board(file) }));
    const number = (label, id, value, put, says) => el('div', { class: 'field' }, el('label', { for: id }, label),
      el('input', { id, autocomplete: 'off', inputmode: 'decimal', value: value ?? '', placeholder: says, onchange: (e) => put(e.target.value.trim()) }));
    const length = (text) => (/^[-+]?[\d.]+$/.test(text) ? Number(text) : text);
    const ofBoard = (key, name, value, what) => this.change(what, (own) => {
      own[key] = { ...(own[key] ?? {}) };
      if (value === undefined) delete own[key][name];
      else own[key][name] = value;
      if (Object.keys(own[key]).length === 0) delete own[key];
    });
    const bar = (board, axis) => {
      const bars = set.check?.[board.name] ?? [];
      const nominal = board.bars?.find((one) => one.axis === 'xy'[axis])?.length_mm;
      return number(`${board.name}: its ${'xy'[axis]} bar measures`, `bar-${this.id}-${board.name}-${axis}`, this[`typed${board.name}${axis}`] ?? bars[axis], (text) => {
        const both = [0, 1].map((i) => (i === axis ? text : document.getElementById(`bar-${this.id}-${board.name}-${i}`).value.trim()));
        if (both.every(Boolean)) ofBoard('check', board.name, both.map(length), `check bars of ${board.name}`);
        else if (!both.some(Boolean)) ofBoard('check', board.name, undefined, `check bars of ${board.name}`);
      }, `${nominal ?? ''} mm by design`);
    };
    const key = JSON.stringify([set.files, boards, set.check, set.lift, set.shows, set.seen_from, set.edges]);
    if (key === this.fieldsKey) return;
    this.fieldsKey = key;
    fill(this.fields, el('p', {}, el('b', {}, set.files.map((file) => file.replace(/^photos\//, '')).join(', '))),
      el('details', { open: this.fieldsOpen ?? !set.check, ontoggle: (e) => { this.fieldsOpen = e.target.open; } },
        el('summary', {}, `The board and how it lies: ${boards.map((board) => board.name ?? board.file).join(', ') || 'none'}${set.check ? '' : ' - its check bars are not measured yet'}`),
        el('div', { class: 'columns' },
          boards.filter((board) => board.name).map((board) => [bar(board, 0), bar(board, 1),
            number(`${board.name}: the print lies above the metal by`, `lift-${this.id}-${board.name}`, set.lift?.[board.name], (text) => ofBoard('lift', board.name, text ? length(text) : undefined, `height of ${board.name}`), '0.1 mm; negative if below')]),
          el('div', { class: 'field' }, el('label', { for: `board-${this.id}` }, 'another board in the pictures'),
            el('input', { id: `board-${this.id}`, autocomplete: 'off', placeholder: 'A4-1', onchange: (e) => this.#addBoard(e.target.value.trim()) }),
            el('div', { class: 'says' }, 'As it is printed on the sheet: paper and number.')),
          this.#choice('shows', 'the pictures show', ['bores', 'rubbing'], set),
          this.#choice('seen_from', 'seen from', ['measured side', 'other side'], set),
          this.#edges(set)),
        el('div', { class: 'line' }, boards.map((board) => el('button', { type: 'button', class: 'quiet', onclick: () => this.change(`${board.name ?? board.file} taken out`, (own) => {
          own.boards = own.boards.filter((file) => file !== board.file);
        }) }, `${board.name ?? board.file} is not in the pictures`)))));
  }

  #choice(key, label, words, set) {
    const id = `${key}-${this.id}`;
    return el('div', { class: 'field' }, el('label', { for: id }, label), el('select', { id, value: set[key] ?? words[0],
      onchange: (e) => this.change(label, (own) => { if (e.target.value === words[0]) delete own[key]; else own[key] = e.target.value; }) },
    words.map((word) => el('option', { value: word }, word))));
  }

  /// Datum edges in the picture tie the holes to the face better than any press.
  #edges(set) {
    const names = [...new Set(['long datum edge', 'datum end', ...(set.edges ?? [])])];
    return el('fieldset', {}, el('legend', {}, 'to be seen on another ground'), names.map((name) => {
      const id = `edge-${this.id}-${name}`;
      return el('div', { class: 'field tick' }, el('input', { id, type: 'checkbox', checked: set.edges?.includes(name), onchange: (e) => this.change(`${name} ${e.target.checked ? 'seen' : 'not seen'}`, (own) => {
        own.edges = names.filter((one) => (one === name ? e.target.checked : own.edges?.includes(one)));
        if (own.edges.length === 0) delete own.edges;
      }) }), el('label', { for: id }, name));
    }));
  }

  #board(file) {
    try {
      const board = JSON.parse(this.store.text(file)).boards[0];
      return { name: board.name, bars: board.check_bars };
    } catch {
      return {};
    }
  }

  async #addBoard(name) {
    if (!name) return;
    try {
      const { file } = await needBoard(name);
      await this.change(`board ${name}`, (own) => { own.boards = [...new Set([...(own.boards ?? []), file])]; });
    } catch (error) {
      this.problems = error.problems ?? [];
      this.draw();
    }
  }

  #tools() {
    const tool = (name, words) => el('button', { type: 'button', id: `tool-${this.id}-${name}`, 'aria-pressed': String(this.tool === name), onclick: () => {
      this.tool = name;
      this.placing.begin();
      this.draw();
    } }, words);
    fill(this.tools, tool('look', 'Look'), tool('add', 'Add a hole'), tool('place', 'Lay the part\'s edges'));
    const chosen = this.holes().find((hole) => hole.id === this.chosen);
    this.hint.textContent = this.tool === 'add' ? 'Press where a hole is that was not found; its rim is then sought from there.'
      : this.tool === 'place' ? this.placing.words()
        : chosen ? `${chosen.id} is chosen: drag its cross, or move it with the arrow keys and press Enter; its rim is then sought from there.`
          : 'Press a hole to choose it. Drag, pinch or turn the wheel to look closer.';
  }

  #tap(at, target) {
    if (this.tool === 'add') this.#mark('a hole added', { x: at[0], y: at[1], is: 'hole' });
    else if (this.tool === 'place') this.placing.press(at);
    else this.choose(target.closest?.('[data-hole]')?.dataset.hole ?? null);
  }

  /// Only the chosen hole's cross follows the hand: a glove on the picture moves nothing else.
  #grab(e) {
    const handle = e.target.closest?.('.handle');
    const hole = this.holes().find((one) => one.id === handle?.dataset.hole);
    if (!hole) return undefined;
    return (at, ended, still) => {
      this.nudged = { id: hole.id, x: at[0], y: at[1] };
      if (ended && still) this.nudged = null;
      if (ended && !still) this.nudge(hole);
      else this.view.redraw();
    };
  }

  /// The hole's rim is sought anew from where it was put.
  nudge(hole) {
    const to = this.nudged;
    if (!to) return;
    this.nudged = null;
    const old = this.marks()[this.markOf(hole)];
    this.#mark(`${hole.id} moved`, { x: to.x, y: to.y, is: 'hole', name: /^H\d+$/.test(hole.id) ? old?.name : hole.id }, hole);
  }

  choose(id) {
    this.chosen = id;
    this.draw();
    document.getElementById(`photo-hole-${this.id}-${id}`)?.scrollIntoView({ block: 'nearest' });
  }

  /// Says something of a place, instead of what was said of `hole` before.
  #mark(what, mark, hole) {
    const index = hole ? this.markOf(hole) : -1;
    return this.change(what, (own, _, job) => {
      const mm = (value) => (job.units === 'in' ? `${round(value)} mm` : round(value));
      const entry = { x: mm(mark.x), y: mm(mark.y) };
      if (mark.is === 'no hole') entry.is = mark.is;
      else if (mark.name) entry.name = mark.name;
      const all = [...(own.by_hand ?? [])];
      if (index >= 0) all[index] = entry;
      else all.push(entry);
      own.by_hand = all;
    }, true);
  }

  #unmark(what, index) {
    return this.change(what, (own) => {
      own.by_hand.splice(index, 1);
      if (own.by_hand.length === 0) delete own.by_hand;
    }, true);
  }

  #list() {
    const { reading } = this.answer;
    const place = toFace(this.answer.at);
    const row = (hole) => {
      const none = this.dismissed(hole);
      const verdict = none ? 'no hole, by hand' : hole.doubtful ? `look again: ${hole.remarks.join('; ')}` : hole.remarks.length ? `sound; ${hole.remarks.join('; ')}` : 'sound';
      const [x, y] = place([hole.x, hole.y]);
      return el('tr', { id: `photo-hole-${this.id}-${hole.id}`, class: `${hole.id === this.chosen ? 'chosen' : ''}${hole.doubtful && !none ? ' look-again' : ''}` },
        el('td', {}, el('input', { class: 'name', value: hole.id, 'aria-label': `name of ${hole.id}`, autocomplete: 'off', onfocus: () => { if (this.chosen !== hole.id) { this.chosen = hole.id; this.view.redraw(); } },
          onchange: (e) => { if (e.target.value.trim()) this.#mark(`${hole.id} is ${e.target.value.trim()}`, { ...hole, is: 'hole', name: e.target.value.trim() }, hole); } })),
        el('td', {}, `${x.toFixed(1)}, ${y.toFixed(1)}`), el('td', {}, `${hole.diameter.toFixed(2)} ± ${(2 * hole.s_diameter).toFixed(2)}`),
        el('td', {}, verdict),
        el('td', {}, none || hole.doubtful
          ? el('button', { type: 'button', onclick: () => (none ? this.#unmark(`${hole.id} is a hole after all`, this.markOf(hole)) : this.#mark(`${hole.id} is a hole`, { ...hole, is: 'hole', name: '' }, hole)), 'aria-label': `It is a hole: ${hole.id}` }, 'It is a hole')
          : el('button', { type: 'button', class: 'quiet', onclick: () => this.#mark(`${hole.id} is no hole`, { ...hole, is: 'no hole' }, hole), 'aria-label': `No hole: ${hole.id}` }, 'No hole')));
    };
    fill(this.list, el('table', {}, el('thead', {}, el('tr', {}, ['hole', `x, y on the ${this.answer.placed ? 'face' : 'board'}, mm`, 'diameter, mm', 'verdict', ''].map((head) => el('th', { scope: 'col' }, head || el('span', { class: 'unseen' }, 'change'))))),
      el('tbody', {}, reading.holes.map(row))),
    this.lostMarks().map((mark) => el('p', { class: 'look-again' }, `No rim is found where ${mark.name ? `hole ${mark.name}` : 'a hole'} was marked. `,
      el('button', { type: 'button', onclick: () => this.#unmark('a mark taken away', this.marks().indexOf(mark)) }, 'Take the mark away'))),
    reading.warnings.length ? el('details', {}, el('summary', {}, `${reading.warnings.length} ${reading.warnings.length === 1 ? 'remark' : 'remarks'} on the pictures`), el('ul', {}, reading.warnings.map((text) => el('li', {}, text)))) : null);
  }
}
