// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// A picture laid flat, to look at closely: fingers, wheel and keys move and enlarge it. What is drawn over it keeps its
// size on the screen.
import { el, keepingKeyboard, svg } from './dom.js';

const kMostEnlarged = 60;
const kStep = 1.4;
const kTap_px = 7;  // a finger that moved no farther has pressed

export class FlatView {
  /// `draw(group, pixel)` draws over the picture in mm, y up as `-y`; `pixel` is the length of a screen pixel in mm.
  /// `tap([x, y], event)` is told of what is pressed beside the things drawn. `grab(event)` may claim a pointer:
  /// it returns a function for its moves and end, (place, ended), or nothing.
  constructor(label, { draw, tap, grab }) {
    Object.assign(this, { drawOver: draw, tap, grab, pointers: new Map() });
    this.image = svg('image', { preserveAspectRatio: 'none' });
    this.over = svg('g');
    this.root = svg('svg', { class: 'flat', tabindex: 0, role: 'group', 'aria-label': label }, this.image, this.over);
    this.root.addEventListener('wheel', (e) => { e.preventDefault(); this.enlarge(e.deltaY < 0 ? 1.2 : 1 / 1.2, this.#at(e)); }, { passive: false });
    this.root.addEventListener('pointerdown', (e) => this.#down(e));
    this.root.addEventListener('pointermove', (e) => this.#move(e));
    for (const end of ['pointerup', 'pointercancel']) this.root.addEventListener(end, (e) => this.#up(e));
    this.root.addEventListener('keydown', (e) => this.#key(e));
    const button = (words, work) => el('button', { type: 'button', onclick: work }, words);
    this.element = el('div', { class: 'flat-frame' }, this.root, el('div', { class: 'line' },
      button('Nearer', () => this.enlarge(kStep)), button('Farther', () => this.enlarge(1 / kStep)), button('Whole', () => this.whole())));
    new ResizeObserver(() => this.redraw()).observe(this.root);
  }

  /// Shows the picture at `address`, which covers low to high (mm). The part looked at stays where it is.
  show(address, low, high) {
    const [width, height] = [high[0] - low[0], high[1] - low[1]];
    const key = [...low, ...high].map((v) => v.toFixed(0)).join();
    for (const [name, value] of Object.entries({ href: address, x: low[0], y: -high[1], width, height })) this.image.setAttribute(name, value);
    this.full = { x: low[0], y: -high[1], w: width, h: height };
    this.root.style.aspectRatio = `${width} / ${height}`;
    if (key !== this.key) this.whole();
    this.key = key;
    this.redraw();
  }

  whole() { this.box = { ...this.full }; this.#place(); }

  /// Enlarges about a point (mm), or about the middle.
  enlarge(factor, about) {
    const { box, full } = this;
    const w = Math.min(Math.max(box.w / factor, full.w / kMostEnlarged), full.w);
    const [x, y] = about ? [about[0], -about[1]] : [box.x + box.w / 2, box.y + box.h / 2];
    const k = w / box.w;
    this.box = { x: x - (x - box.x) * k, y: y - (y - box.y) * k, w, h: box.h * k };
    this.#place();
  }

  lookAt([x, y], width) {
    const k = Math.min(width / this.full.w, 1);
    this.box = { w: this.full.w * k, h: this.full.h * k };
    Object.assign(this.box, { x: x - this.box.w / 2, y: -y - this.box.h / 2 });
    this.#place();
  }

  redraw() {
    if (!this.box || !this.root.clientWidth) return;
    this.pixel = this.box.w / this.root.clientWidth;
    keepingKeyboard(this.over, () => {
      this.over.replaceChildren();
      this.drawOver(this.over, this.pixel);
    });
  }

  #place() {
    const { box, full } = this;
    box.x = Math.min(Math.max(box.x, full.x), full.x + full.w - box.w);
    box.y = Math.min(Math.max(box.y, full.y), full.y + full.h - box.h);
    this.root.setAttribute('viewBox', `${box.x} ${box.y} ${box.w} ${box.h}`);
    this.redraw();
  }

  #at(e) {
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(this.root.getScreenCTM().inverse());
    return [p.x, -p.y];
  }

  #down(e) {
    const claim = this.pointers.size === 0 ? this.grab?.(e) : undefined;
    this.root.setPointerCapture(e.pointerId);
    this.pointers.set(e.pointerId, { x: e.clientX, y: e.clientY, far: 0, claim, target: e.target });
    if (claim) e.preventDefault();
  }

  #move(e) {
    const pointer = this.pointers.get(e.pointerId);
    if (!pointer) return;
    pointer.far += Math.hypot(e.clientX - pointer.x, e.clientY - pointer.y);
    if (pointer.claim) pointer.claim(this.#at(e), false);
    else if (this.pointers.size === 2) this.#pinch(e, pointer);
    else {
      this.box.x -= (e.clientX - pointer.x) * this.pixel;
      this.box.y -= (e.clientY - pointer.y) * this.pixel;
      this.#place();
    }
    Object.assign(pointer, { x: e.clientX, y: e.clientY });
  }

  #pinch(e, pointer) {
    const other = [...this.pointers.entries()].find(([id]) => id !== e.pointerId)[1];
    const distance = (p) => Math.hypot(p.clientX - other.x, p.clientY - other.y);
    const before = distance({ clientX: pointer.x, clientY: pointer.y });
    if (before > 1) this.enlarge(distance(e) / before, this.#at({ clientX: (e.clientX + other.x) / 2, clientY: (e.clientY + other.y) / 2 }));
  }

  #up(e) {
    const pointer = this.pointers.get(e.pointerId);
    this.pointers.delete(e.pointerId);
    if (!pointer) return;
    if (pointer.claim) pointer.claim(this.#at(e), true, e.type === 'pointercancel' || pointer.far <= kTap_px);
    else if (e.type === 'pointerup' && pointer.far <= kTap_px) this.tap?.(this.#at(e), pointer.target);
  }

  #key(e) {
    if (e.target !== this.root || e.ctrlKey || e.metaKey || e.altKey) return;
    const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
    if (by) {
      this.box.x += by[0] * this.box.w / 8;
      this.box.y += by[1] * this.box.h / 8;
      this.#place();
    } else if (e.key === '+' || e.key === '=') this.enlarge(kStep);
    else if (e.key === '-') this.enlarge(1 / kStep);
    else if (e.key === '0') this.whole();
    else return;
    e.preventDefault();
  }
}
