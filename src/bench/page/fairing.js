// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Fairing: what was worked out, every stack enlarged on demand, parts moved by hand, decisions pinned.
import { getResult, runDo, runState } from './ask.js';
import { el, fill, problemLine, svg } from './dom.js';
import { circle, datumEdge, outline, picture, words } from './draw.js';
import { cleanUp, moon } from './moon.js';

const kPoll_ms = 300;
const mm = (value, digits = 1) => (value === null || value === undefined ? '-' : value.toFixed(digits));
const inHundred = (odds) => (odds === null ? '-' : odds > 0.99 ? 'over 99 in 100' : odds < 0.01 ? 'under 1 in 100' : `${Math.round(100 * odds)} in 100`);
const sentence = (text) => (text ? `${text.replace(/\.?$/, '.')} ` : '');

export class FairingStation {
  constructor(store, schema, onState) {
    const { method } = schema.$defs.override.properties;
    Object.assign(this, { store, methods: method.enum, onState, plan: null, run: null, moved: {}, chosen: null });
    this.bar = el('div', { class: 'line' });
    this.summary = el('div', {});
    this.plates = el('div', { class: 'drawings' });
    this.detail = el('div', { class: 'detail', 'aria-live': 'polite', tabindex: 0, role: 'region', 'aria-label': 'the chosen hole' });
    this.body = el('div', {}, this.bar, this.summary, el('div', { class: 'side-by-side' }, this.plates, this.detail));
    store.addEventListener('changed', () => this.draw());
  }

  stale() { return this.plan !== null && this.run?.worked_from !== this.store.about.state; }

  words() {
    if (!this.plan) return '';
    const count = (test) => this.plan.stacks.filter(test).length;
    const say = [];
    const add = (number, what) => { if (number) say.push(`${number} ${what}`); };
    add(count((s) => s.method === 'open-out'), 'to open out');
    add(count((s) => s.method === 'plug'), 'to plug');
    add(count((s) => s.state === 'look again' || s.state === 'undecided'), 'to look at again');
    if (this.stale()) say.push('the job has changed since it was worked out');
    return say.join('; ');
  }

  async begin() {
    await this.#ask(() => runState());
  }

  async #ask(question) {
    try {
      this.run = await question();
      if (!this.run.working) await this.#results();
      this.problems = [];
    } catch (error) {
      this.problems = error.problems ?? [];
    }
    this.draw();
    if (this.run?.working) setTimeout(() => this.#ask(() => runState()), kPoll_ms);
  }

  async #results() {
    this.plan = this.run.files.includes('plan.json') ? await getResult('plan.json') : null;
    this.moved = {};
    if (this.chosen && !this.plan?.stacks.some((s) => this.#key(s) === this.chosen)) this.chosen = null;
  }

  #key(stack) { return `${stack.plate}|${stack.id}`; }
  #shift() { return (part) => this.moved[part]?.by ?? [0, 0]; }

  draw() {
    const working = this.run?.working;
    fill(this.bar, working
      ? [el('progress', { 'aria-label': 'working' }), el('span', {}, `Working it out, ${this.run.seconds.toFixed(0)} s.`),
        el('button', { id: 'run-stop', type: 'button', onclick: () => this.#ask(() => runDo('stop')) }, 'Stop')]
      : [el('button', { id: 'run-start', type: 'button', class: 'main', onclick: () => this.#ask(() => runDo('start')) }, this.plan ? 'Work it out again' : 'Work it out'),
        el('span', {}, this.stale() ? 'The job has changed since this was worked out.' : '')]);
    fill(this.summary, this.problems?.length ? el('ul', { class: 'problems' }, this.problems.map(problemLine)) : null,
      this.run && !working && this.run.exit ? el('pre', { class: 'said' }, this.run.said.trim()) : null,
      this.plan ? this.#summary() : null);
    fill(this.plates, this.plan ? this.#carriers().map((name) => this.#plate(name)) : el('p', {}, 'Nothing is worked out yet.'));
    this.#detail();
    this.onState();
  }

  #summary() {
    const { plan } = this;
    return [
      plan.ready ? null : el('p', { class: 'look-again' }, el('b', {}, plan.notice), ' ', plan.problems.map((p) => sentence(p.what))),
      el('p', {}, `All holes come out as planned: ${inHundred(plan.odds)}. Cost ${mm(plan.cost)}${plan.proven ? ', proven: none is cheaper' : `; none can cost less than ${mm(plan.bound)}`}.`),
      plan.alternatives.length ? el('details', {}, el('summary', {}, 'What else could be done'),
        el('div', { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': 'table' }, el('table', {}, el('thead', {}, el('tr', {}, ['wish', 'plugs', 'opened out', 'odd sizes', 'sizes', 'odds'].map((head) => el('th', { scope: 'col' }, head)))),
          el('tbody', {}, plan.alternatives.map((one) => el('tr', {}, el('th', { scope: 'row' }, one.name, one.same ? el('small', {}, ' comes to this plan') : null),
            [one.plugs, one.opened, one.odd_sizes, one.sizes, inHundred(one.odds)].map((value) => el('td', {}, String(value))))))))) : null];
  }

  #carriers() { return [...new Set(this.plan.stacks.map((stack) => stack.plate))]; }

  #plate(name) {
    const plate = this.plan.plates.find((one) => one.name === name);
    const stacks = this.plan.stacks.filter((stack) => stack.plate === name);
    const seats = this.plan.seats.filter((seat) => seat.plate === name);
    const sketch = this.store.about.sketch?.plates.find((one) => one.name === name) ?? this.store.about.sketch?.faces.find((one) => `${one.part}/${one.face}` === name);
    const edge = plate?.outline ?? sketch?.outline ?? [];
    return el('figure', {}, el('figcaption', {}, el('b', {}, name), plate?.hand ? ` ${plate.hand}` : '', ' Drag a part to try another place; choose a hole to see it enlarged.'),
      picture([...edge, ...stacks.map((s) => [s.x, s.y])], { group: `${name}: holes to drill` }, (root, pixel) => {
        if (edge.length) root.append(outline(edge, 'plate'), datumEdge([0, 0], [1, 0], Math.max(...edge.map((p) => p[0])), pixel));
        for (const seat of seats) this.#partOutline(root, seat, sketch);
        for (const stack of stacks) root.append(this.#spot(stack, pixel));
      }), this.#seatFields(seats));
  }

  #partOutline(root, seat, sketch) {
    const face = sketch?.faces.find((one) => one.joint === seat.joint);
    if (!face) return;
    const [dx, dy] = this.#shift()(seat.part);
    const shape = outline(face.outline, 'face movable');
    shape.setAttribute('transform', `translate(${seat.along + dx} ${-(seat.across + dy)})`);
    shape.dataset.joint = seat.joint;
    shape.addEventListener('pointerdown', (event) => this.#drag(event, root, shape, seat));
    root.append(shape);
  }

  #drag(event, root, shape, seat) {
    event.preventDefault();
    shape.setPointerCapture(event.pointerId);
    const toMm = root.getScreenCTM().inverse();
    const at = (e) => new DOMPoint(e.clientX, e.clientY).matrixTransform(toMm);
    const from = at(event);
    const before = this.#shift()(seat.part);
    const move = (e) => {
      const to = at(e);
      this.#moveTo(seat, [before[0] + to.x - from.x, before[1] - (to.y - from.y)]);
      const [dx, dy] = this.#shift()(seat.part);
      shape.setAttribute('transform', `translate(${seat.along + dx} ${-(seat.across + dy)})`);
      this.#respond(root);
    };
    const end = () => {
      shape.removeEventListener('pointermove', move);
      this.draw();
    };
    shape.addEventListener('pointermove', move);
    shape.addEventListener('pointerup', end, { once: true });
    shape.addEventListener('pointercancel', end, { once: true });
  }

  #play(seat) {
    const joint = this.store.job?.joints.find((one) => one.name === seat.joint);
    const range = (play) => (Array.isArray(play) ? play.map(Number) : [-(Number(play) || 0), Number(play) || 0]);
    return { joint, along: range(joint?.play?.along ?? 0), across: range(joint?.play?.across ?? 0) };
  }

  /// Moves a part by hand, not beyond its play.
  #moveTo(seat, by) {
    const play = this.#play(seat);
    const clamp = (value, [least, most]) => Math.min(Math.max(value, least), most);
    this.moved[seat.part] = { seat, by: [clamp(seat.along + by[0], play.along) - seat.along, clamp(seat.across + by[1], play.across) - seat.across] };
  }

  /// Spots follow the hand; nothing else is drawn anew.
  #respond(root) {
    for (const spot of root.querySelectorAll('.spot')) {
      const stack = this.plan.stacks.find((one) => this.#key(one) === spot.dataset.key);
      if (stack) spot.classList.toggle('too-far', this.#needsMore(stack));
    }
    if (this.chosen) this.#detail();
  }

  #needsMore(stack) {
    return stack.layers.some((layer) => this.moved[layer.part]) && stack.finish_diameter !== null && stack.method !== 'plug' && cleanUp(stack, this.#shift()) > stack.finish_diameter + 0.005;
  }

  #spot(stack, pixel) {
    const key = this.#key(stack);
    const look = stack.state === 'look again' || stack.state === 'undecided';
    const size = Math.max((stack.finish_diameter ?? 0) / 2, 6 * pixel);
    const spot = svg('g', { class: `spot ${stack.method}${look ? ' look-again' : ''}${this.#needsMore(stack) ? ' too-far' : ''}${this.chosen === key ? ' chosen' : ''}`, tabindex: 0, role: 'button', 'data-key': key, id: `spot-${key}`,
      'aria-label': `${stack.id}, ${stack.method}, ${stack.state}`, onclick: () => this.#choose(key),
      onkeydown: (e) => { if (e.key === 'Enter' || e.key === ' ') { e.preventDefault(); this.#choose(key); } } },
    circle([stack.x, stack.y], Math.max(size, 14 * pixel), 'target'), circle([stack.x, stack.y], size, 'new'),
    stack.method === 'plug' ? svg('path', { d: `M${stack.x - size} ${-stack.y - size}l${2 * size} ${2 * size}m0 ${-2 * size}l${-2 * size} ${2 * size}`, class: 'cross' }) : null,
    stack.method === 'open-out' ? circle([stack.x, stack.y], size * 0.6, 'inner') : null,
    stack.state === 'pinned' ? svg('path', { d: `M${stack.x} ${-stack.y - size}v${-9 * pixel}m${-4 * pixel} 0h${8 * pixel}`, class: 'nail' }) : null,
    words([stack.x + size + 3 * pixel, stack.y + size + 2 * pixel], stack.id, 15 * pixel));
    return spot;
  }

  #choose(key) {
    this.chosen = key;
    this.draw();
    document.getElementById(`spot-${key}`)?.focus();
  }

  #seatFields(seats) {
    return el('details', {}, el('summary', {}, 'Where each part sits'), seats.map((seat) => {
      const { joint, along, across } = this.#play(seat);
      const moved = this.moved[seat.part]?.seat.joint === seat.joint ? this.moved[seat.part].by : [0, 0];
      const number = (axis, i, value, range) => {
        const id = `seat-${seat.joint}-${axis}`;
        return el('div', { class: 'field' }, el('label', { for: id }, `${axis}, mm`, el('small', {}, ` ${mm(range[0])} to ${mm(range[1])}`)),
          el('input', { id, inputmode: 'decimal', value: mm(value, 2), onchange: (e) => {
            const by = [...moved];
            by[i] = Number(e.target.value) - (i ? seat.across : seat.along);
            if (Number.isFinite(by[i])) this.#moveTo(seat, by);
            this.draw();
          } }));
      };
      return el('fieldset', {}, el('legend', {}, `${seat.part}, ${seat.face}`, joint?.pinned_seat ? ' (held)' : ''),
        number('along', 0, seat.along + moved[0], along), number('across', 1, seat.across + moved[1], across),
        el('button', { type: 'button', onclick: () => this.store.saveJob(`${seat.part} held where it was put`, (job) => {
          const turn = seat.turn_deg;
          job.joints.find((one) => one.name === seat.joint).pinned_seat = { along: Number((seat.along + moved[0]).toFixed(3)), across: Number((seat.across + moved[1]).toFixed(3)), turn_deg: Number(turn.toFixed(5)) };
        }).then(() => this.draw()) }, 'Hold it here'),
        joint?.pinned_seat ? el('button', { type: 'button', onclick: () => this.store.saveJob(`${seat.part} let go`, (job) => {
          delete job.joints.find((one) => one.name === seat.joint).pinned_seat;
        }).then(() => this.draw()) }, 'Let it go') : null);
    }));
  }

  #detail() {
    const stack = this.plan?.stacks.find((one) => this.#key(one) === this.chosen);
    if (!stack) {
      fill(this.detail, this.plan ? el('p', {}, 'Choose a hole on the plate.') : null);
      return;
    }
    const needs = cleanUp(stack, this.#shift());
    fill(this.detail, el('h3', {}, `${stack.id} in ${stack.plate}`), moon(stack, { shift: this.#shift() }),
      el('p', {}, sentence(stack.reason), sentence(stack.ruled_out), `Odds ${inHundred(stack.odds)}.`),
      this.#needsMore(stack) ? el('p', { class: 'look-again' }, `With the part moved so, the old holes ask for ${mm(needs, 2)} mm; planned are ${mm(stack.finish_diameter, 2)} mm.`) : null,
      el('ul', { class: 'plain' }, stack.layers.filter((layer) => !layer.new_plate).map((layer, i) => el('li', {},
        `${String.fromCharCode(65 + i)}: ${layer.part}, ${layer.face}, hole ${layer.hole ?? 'none'}: ${mm(layer.found_diameter, 2)} mm, ${mm(Math.hypot(...(layer.misfit ?? [0, 0])), 2)} mm off; ${layer.action}.`))),
      stack.ways.length ? el('div', { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': 'table' }, el('table', {}, el('thead', {}, el('tr', {}, ['way', 'size', 'cost', 'odds', 'why'].map((head) => el('th', { scope: 'col' }, head)))),
        el('tbody', {}, stack.ways.map((way) => el('tr', {}, el('th', { scope: 'row' }, way.method, way.taken ? el('small', {}, ' taken') : null),
          el('td', {}, mm(way.finish_diameter, 2)), el('td', {}, mm(way.cost)), el('td', {}, way.allowed ? inHundred(way.odds_lower_bound) : '-'), el('td', {}, way.why)))))) : null,
      this.#decision(stack));
  }

  #decision(stack) {
    const group = this.store.job?.hole_groups.find((one) => one.name === stack.group);
    const pinned = group?.holes?.[stack.id] ?? {};
    const method = el('select', { id: 'pin-method' }, el('option', { value: '' }, 'as worked out'), this.methods.map((word) => el('option', { value: word }, word)));
    method.value = pinned.method ?? '';
    const finish = el('input', { id: 'pin-finish', value: pinned.finish ?? '', autocomplete: 'off', placeholder: `${mm(stack.finish_diameter, 2)} worked out` });
    const keep = () => this.store.saveJob(`${stack.id}: decided by hand`, (job) => {
      const own = job.hole_groups.find((one) => one.name === stack.group);
      const decided = {};
      if (method.value) decided.method = method.value;
      if (finish.value.trim()) decided.finish = /^[\d.]+$/.test(finish.value.trim()) ? Number(finish.value) : finish.value.trim();
      own.holes = { ...(own.holes ?? {}), [stack.id]: decided };
      if (Object.keys(decided).length === 0) delete own.holes[stack.id];
      if (Object.keys(own.holes).length === 0) delete own.holes;
    }).then(() => this.draw());
    return el('fieldset', {}, el('legend', {}, 'Decide it yourself'),
      el('div', { class: 'field' }, el('label', { for: 'pin-method' }, 'treatment'), method),
      el('div', { class: 'field' }, el('label', { for: 'pin-finish' }, 'finish diameter'), finish),
      el('button', { type: 'button', onclick: keep }, 'Pin this'));
  }
}
