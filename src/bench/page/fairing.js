// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Fairing: what was worked out, every stack enlarged on demand, parts moved by hand, decisions pinned.
import { getResult, runDo, runState } from './ask.js';
import { el, fill, problemLine, sentence, svg, table } from './dom.js';
import { circle, datumEdge, outline, path, picture, words } from './draw.js';
import { inHundred, mm } from './figures.js';
import { cleanUp } from './moon.js';
import { kAxes, Seats } from './seats.js';
import { stackDetail } from './stack_detail.js';

const kPoll_ms = 300;
const kPress_px = 4;
const kAxisWords = { along: 'along, mm', across: 'across, mm', turn_deg: 'turn, degrees' };

export class FairingStation {
  constructor(store, schema, onState) {
    const { method } = schema.$defs.override.properties;
    Object.assign(this, { store, methods: method.enum, onState, plan: null, run: null, chosen: null, beneath: [], draft: {} });
    this.seats = new Seats(store);
    this.follow = new Map();  // joint -> draws its outline where the part now sits
    this.bar = el('div', { class: 'line' });
    this.summary = el('div', {});
    this.plates = el('div', { class: 'drawings' });
    this.detail = el('div', { class: 'detail', 'aria-live': 'polite', tabindex: 0, role: 'region', 'aria-label': 'the chosen hole' });
    this.body = el('div', {}, this.bar, this.summary, el('div', { class: 'side-by-side' }, this.plates, this.detail));
    store.addEventListener('changed', () => {
      const now = JSON.stringify([this.stale(), store.job]);
      if (now !== this.drawn) this.draw();
      else this.onState();
    });
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
    this.seats.use(this.plan);
    if (this.chosen && !this.plan?.stacks.some((s) => this.#key(s) === this.chosen)) this.chosen = null;
  }

  #key(stack) { return `${stack.plate}|${stack.id}`; }
  #shift(stack) { return (layer) => this.seats.shift(this.plan.seats, stack, layer); }

  draw() {
    this.drawn = JSON.stringify([this.stale(), this.store.job]);
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
      plan.alternatives.length ? el('details', { id: 'alternatives' }, el('summary', {}, 'What else could be done'),
        table(['wish', 'plugs', 'bushes', 'opened out', 'odd sizes', 'sizes', 'undecided', 'metal taken from old parts, cm3', 'odds'],
          plan.alternatives.map((one) => [[one.name, one.same && one.name !== 'the plan' ? el('small', {}, ' comes to this plan') : null],
            one.plugs, one.bushes, one.opened, one.odd_sizes, one.sizes, one.undecided, mm(one.metal_cm3), inHundred(one.odds)])),
        el('p', { class: 'says' }, 'A wish is had by changing what its trouble costs (Parts and joints, costs), or by pinning its decisions.')) : null];
  }

  #carriers() { return [...new Set(this.plan.stacks.map((stack) => stack.plate))]; }

  #plate(name) {
    const plate = this.plan.plates.find((one) => one.name === name);
    const stacks = this.plan.stacks.filter((stack) => stack.plate === name);
    const seats = this.plan.seats.filter((seat) => seat.plate === name);
    const { sketch } = this.store.about;
    const edge = plate?.outline ?? sketch?.faces.find((one) => `${one.part}/${one.face}` === name)?.outline ?? [];
    return el('figure', { 'data-carrier': name }, el('figcaption', {}, el('b', {}, name), plate?.hand ? ` ${plate.hand}` : '', ' Drag a part to try another place, its round grip to turn it; press it to reach the one beneath. Choose a hole to see it enlarged.'),
      picture([...edge, ...stacks.map((s) => [s.x, s.y])], { group: `${name}: holes to drill` }, (root, pixel) => {
        if (edge.length) root.append(outline(edge, 'plate'), datumEdge([0, 0], [1, 0], Math.max(...edge.map((p) => p[0])), pixel));
        const depth = (seat) => this.beneath.indexOf(seat.joint);  // what was sent beneath last lies lowest
        for (const seat of [...seats].sort((a, b) => depth(b) - depth(a))) this.#partOutline(root, seat, pixel);
        for (const stack of stacks) root.append(this.#spot(stack, pixel));
      }), el('p', { class: 'live', role: 'status' }, this.#liveWords(stacks)), this.#seatFields(seats));
  }

  #partOutline(root, seat, pixel) {
    const face = this.store.about.sketch?.faces.find((one) => one.part === seat.part && one.face === seat.face);
    if (!face) return;
    const shape = svg('path', { class: `face${this.seats.movable(seat) ? ' movable' : ''}` });
    const grip = svg('g', { class: 'turn-grip', 'data-joint': seat.joint }, circle([0, 0], 22 * pixel, 'target'), circle([0, 0], 9 * pixel, 'knob'));
    shape.dataset.joint = seat.joint;
    const [least, most] = this.seats.play(seat).turn_deg;
    const far = face.outline.reduce((a, b) => (Math.hypot(...a) >= Math.hypot(...b) ? a : b));
    const follow = () => {
      shape.setAttribute('d', path(this.seats.place(seat, face.outline)));
      const [x, y] = this.seats.place(seat, [far])[0];
      grip.setAttribute('transform', `translate(${x} ${-y})`);
    };
    follow();
    this.follow.set(seat.joint, follow);
    root.append(shape);
    if (this.seats.movable(seat)) shape.addEventListener('pointerdown', (event) => this.#drag(event, shape, (by) => this.seats.drag(seat, by.from, [by.x, by.y]), seat));
    if (most <= least) return;
    root.append(grip);
    grip.addEventListener('pointerdown', (event) => {
      const [[x, y], [cx, cy]] = this.seats.place(seat, [far, [0, 0]]);
      const arm = Math.hypot(x - cx, y - cy) || 1;
      this.#drag(event, grip, (by) => this.seats.turn(seat, by.from, (by.y * (x - cx) - by.x * (y - cy)) / arm), seat);
    });
  }

  /// The hand goes much farther than the part, whose play is a few pixels on the plate.
  #drag(event, held, put, seat) {
    event.preventDefault();
    held.setPointerCapture(event.pointerId);
    const from = this.seats.moves;
    const at = { x: event.clientX, y: event.clientY };
    let asked = 0;
    const move = (e) => {
      put({ from, x: e.clientX - at.x, y: at.y - e.clientY });
      if (asked) return;
      asked = requestAnimationFrame(() => {
        asked = 0;
        this.#respond();
      });
    };
    const end = (e) => {
      held.removeEventListener('pointermove', move);
      cancelAnimationFrame(asked);
      const pressed = e.type === 'pointerup' && Math.hypot(e.clientX - at.x, e.clientY - at.y) < kPress_px;
      if (pressed) this.beneath = [...this.beneath.filter((one) => one !== seat.joint), seat.joint];
      this.draw();
    };
    held.addEventListener('pointermove', move);
    held.addEventListener('pointerup', end, { once: true });
    held.addEventListener('pointercancel', end, { once: true });
  }

  #liveWords(stacks) {
    const moved = this.plan.seats.filter((seat) => this.seats.moved(seat));
    if (!moved.some((seat) => stacks.some((stack) => stack.plate === seat.plate))) return '';
    const more = this.plan.stacks.filter((stack) => this.#needs(stack));
    const here = more.filter((stack) => stacks.includes(stack)).map((stack) => stack.id);
    const there = more.filter((stack) => !stacks.includes(stack)).map((stack) => `${stack.id} in ${stack.plate}`);
    const others = [...new Set(moved.filter((seat) => !stacks.some((stack) => stack.plate === seat.plate)).map((seat) => `${seat.part}, ${seat.face}`))];
    return [here.length ? `With the parts moved so, ${here.join(', ')} would no longer clean up at the sizes planned.` : 'With the parts moved so, every hole here still cleans up at the size planned.',
      others.length ? `With them go ${others.join('; ')}.` : '', there.length ? `Elsewhere no longer clean up: ${there.join(', ')}.` : ''].filter(Boolean).join(' ');
  }

  /// Outlines, spots and words of all carriers follow the hand; nothing else is drawn anew.
  #respond() {
    for (const follow of this.follow.values()) follow();
    const stackOf = new Map(this.plan.stacks.map((stack) => [this.#key(stack), stack]));
    for (const figure of this.plates.querySelectorAll('figure')) {
      const stacks = [];
      for (const spot of figure.querySelectorAll('.spot')) {
        stacks.push(stackOf.get(spot.dataset.key));
        spot.classList.toggle('too-far', this.#needs(stacks.at(-1)) !== null);
      }
      const live = figure.querySelector('.live');
      const text = this.#liveWords(stacks);
      if (live.textContent !== text) live.textContent = text;
    }
    if (this.chosen) this.#detail();
  }

  /// The diameter that the old holes ask for, their doubt included, with parts as the hand has put them, where that is
  /// more than planned. A hole transferred goes with its part.
  #needs(stack) {
    if (stack.margin === null || stack.method === 'plug' || stack.method === 'transfer' || !stack.layers.some((layer) => this.seats.movedJoints().has(layer.joint))) return null;
    const grown = cleanUp(stack, this.#shift(stack)) - cleanUp(stack, () => [0, 0]);
    return grown > stack.margin ? stack.finish_diameter - stack.margin + grown : null;
  }

  #spot(stack, pixel) {
    const key = this.#key(stack);
    const look = stack.state === 'look again' || stack.state === 'undecided';
    const size = Math.max((stack.finish_diameter ?? 0) / 2, 6 * pixel);
    const spot = svg('g', { class: `spot ${stack.method}${look ? ' look-again' : ''}${this.#needs(stack) ? ' too-far' : ''}${this.chosen === key ? ' chosen' : ''}`, tabindex: 0, role: 'button', 'data-key': key, id: `spot-${key}`,
      'aria-label': `${stack.id}, ${stack.method}, ${stack.state}`, onclick: () => this.#choose(key),
      onkeydown: (e) => { if (e.key === 'Enter' || e.key === ' ') { e.preventDefault(); this.#choose(key); } } },
    circle([stack.x, stack.y], Math.max(size, 14 * pixel), 'target'), circle([stack.x, stack.y], size, 'new'),
    stack.method === 'plug' ? svg('path', { d: `M${stack.x - size} ${-stack.y - size}l${2 * size} ${2 * size}m0 ${-2 * size}l${-2 * size} ${2 * size}`, class: 'cross' }) : null,
    stack.method === 'open-out' ? circle([stack.x, stack.y], size * 0.6, 'inner') : null,
    stack.state === 'pinned' ? svg('path', { d: `M${stack.x} ${-stack.y - size}v${-9 * pixel}m${-4 * pixel} 0h${8 * pixel}`, class: 'nail' }) : null,
    words([stack.x + size + 3 * pixel, stack.y + size + 2 * pixel], stack.id, 16 * pixel));
    return spot;
  }

  #choose(key) {
    if (this.chosen !== key) this.draft = {};
    this.chosen = key;
    this.draw();
    document.getElementById(`spot-${key}`)?.focus();
  }

  #seatFields(seats) {
    return el('details', { open: this.seatsOpen?.has(seats[0]?.plate), ontoggle: (e) => {
      this.seatsOpen ??= new Set();
      if (e.target.open) this.seatsOpen.add(seats[0].plate); else this.seatsOpen.delete(seats[0].plate);
    } }, el('summary', {}, 'Where each part sits'), el('div', { class: 'columns' }, seats.map((seat) => this.#seatField(seat))));
  }

  #seatField(seat) {
    const play = this.seats.play(seat);
    const now = this.seats.now(seat);
    const held = this.seats.joint(seat)?.pinned_seat;
    const axis = (name) => {
      const [least, most] = play[name];
      const id = `seat-${seat.joint}-${name}`;
      const digits = name === 'turn_deg' ? 3 : 2;
      const put = (value, whole) => {
        if (!Number.isFinite(value)) return;
        this.seats.put(seat, { [name]: value });
        if (whole) this.draw();
        else this.#respond();
      };
      return el('div', { class: 'field' }, el('label', { for: id }, kAxisWords[name], el('small', {}, ` ${mm(least)} to ${mm(most)}`)),
        el('div', { class: 'line' }, el('input', { id, inputmode: 'decimal', value: mm(now[name], digits), autocomplete: 'off', onchange: (e) => put(Number(e.target.value), true) }),
          most > least ? el('input', { id: `${id}-slide`, type: 'range', min: least, max: most, step: (most - least) / 200, value: now[name], 'aria-label': `${seat.part}, ${kAxisWords[name]}`,
            oninput: (e) => { put(Number(e.target.value), false); document.getElementById(id).value = mm(this.seats.now(seat)[name], digits); }, onchange: () => this.draw() }) : null));
    };
    return el('fieldset', {}, el('legend', {}, `${seat.part}, ${seat.face}`, held ? ' (held)' : ''), kAxes.map(axis),
      el('div', { class: 'line' }, el('button', { type: 'button', onclick: () => this.seats.hold(seat).then(() => this.draw()) }, 'Hold it here'),
        held ? el('button', { type: 'button', onclick: () => this.seats.letGo(seat).then(() => this.draw()) }, 'Let it go') : null,
        this.seats.moved(seat) ? el('button', { type: 'button', class: 'quiet', onclick: () => { this.seats.back(seat); this.draw(); } }, 'Back to the plan') : null));
  }

  #detail() {
    const stack = this.plan?.stacks.find((one) => this.#key(one) === this.chosen);
    fill(this.detail, stack ? stackDetail(stack, this.store, this.methods, { shift: this.#shift(stack), needs: this.#needs(stack), draft: this.draft }, () => this.draw())
      : this.plan ? el('p', {}, 'Choose a hole on the plate.') : null);
  }
}
