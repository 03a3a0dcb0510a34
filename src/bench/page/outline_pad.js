// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// An outline drawn by hand: a press sets a corner, a drag moves one. The same corners stand as text in a field, for
// whoever would rather type them.
import { el, svg } from './dom.js';
import { circle, outline, path, words } from './draw.js';

const kLeast_mm = [300, 200];  // of a pad with little on it yet
const kGrip_px = 22;
const kInch_mm = 25.4;

/// "12.5", "3 1/2 in", "1/2" (of the job's unit) in mm; NaN for what only the program reads.
export function roughly_mm(text, units) {
  const found = /^([-+]?)\s*(?:(\d+\.?\d*|\.\d+)(?:[ -]+(\d+)\/(\d+))?|(\d+)\/(\d+))\s*(mm|cm|in|")?$/.exec(String(text).trim());
  if (!found) return NaN;
  const [, sign, whole, top, bottom, top_alone, bottom_alone, unit] = found;
  const value = whole !== undefined ? Number(whole) + (top ? top / bottom : 0) : top_alone / bottom_alone;
  const scale = { mm: 1, cm: 10, in: kInch_mm, '"': kInch_mm }[unit ?? units ?? 'mm'];
  return (sign === '-' ? -1 : 1) * value * scale;
}

export const cornersIn = (text) => text.split('\n').filter((line) => line.trim()).map((line) => line.split(/[,;]/).map((part) => part.trim()));

/// `area` is the field with the corners; it is told of every change as if it had been typed.
export class OutlinePad {
  constructor(area, units) {
    Object.assign(this, { area, units });
    this.root = svg('svg', { class: 'picture pad', role: 'img', 'aria-label': 'the outline as it is drawn; its corners stand in the field' });
    this.root.addEventListener('pointerdown', (e) => this.#down(e));
    this.scale = el('p', { class: 'says' });
    area.addEventListener('input', () => this.draw());
    this.draw();
  }

  corners() { return cornersIn(this.area.value).map((corner) => corner.map((text) => roughly_mm(text, this.units))).filter(([x, y]) => Number.isFinite(x) && Number.isFinite(y)); }

  #written(value) { return this.units === 'in' ? `${value} mm` : String(value); }

  /// Lines that were typed stay as they are; the one that a hand moves is written anew.
  #put(index, at) {
    const lines = this.area.value.split('\n').filter((line) => line.trim());
    lines[index] = at.map((value) => this.#written(value)).join(', ');
    this.area.value = lines.join('\n');
    this.area.dispatchEvent(new Event('input'));
  }

  undo() {
    this.area.value = this.area.value.split('\n').filter((line) => line.trim()).slice(0, -1).join('\n');
    this.area.dispatchEvent(new Event('input'));
  }

  draw() {
    const all = this.corners();
    if (!this.held) {
      const far = (axis) => Math.max(kLeast_mm[axis], ...all.map((p) => p[axis])) * 1.25;
      const near = (axis) => Math.min(0, ...all.map((p) => p[axis]));
      const edge = 0.1 * far(0);
      this.box = { x: near(0) - edge, y: -far(1), w: far(0) - near(0) + edge, h: far(1) - near(1) + edge };
      this.step = this.box.w > 1500 ? 10 : this.box.w > 600 ? 5 : 1;
    }
    const { x, y, w, h } = this.box;
    this.root.setAttribute('viewBox', `${x} ${y} ${w} ${h}`);
    const pixel = w / (this.root.clientWidth || 600);
    const line = [10, 50, 100, 500].find((s) => w / s < 30) ?? 1000;
    let grid = '';
    for (let at = Math.ceil(x / line) * line; at < x + w; at += line) grid += `M${at} ${y}v${h}`;
    for (let at = Math.ceil(y / line) * line; at < y + h; at += line) grid += `M${x} ${at}h${w}`;
    this.root.replaceChildren(svg('path', { d: grid, class: 'grid' }), svg('path', { d: `M${x} 0h${w}M0 ${y}v${h}`, class: 'axes' }),
      words([x + w - 6 * pixel, -20 * pixel], 'x: long datum edge', 16 * pixel, '', 'end'));
    this.scale.textContent = `A square is ${line} mm; a press is taken to ${this.step} mm.`;
    if (all.length > 2) this.root.append(outline(all, 'plate'));
    else if (all.length) this.root.append(svg('path', { d: path(all).slice(0, -1), class: 'datum' }));
    all.forEach((corner, i) => this.root.append(circle(corner, 7 * pixel, 'knob'), words([corner[0] + 9 * pixel, corner[1] + 9 * pixel], String(i + 1), 16 * pixel)));
  }

  #at(e) {
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(this.root.getScreenCTM().inverse());
    return [p.x, -p.y].map((value) => Math.round(value / this.step) * this.step);
  }

  #down(e) {
    e.preventDefault();
    const pixel = this.box.w / this.root.clientWidth;
    const at = this.#at(e);
    const all = this.corners();
    const near = all.findIndex((p) => Math.hypot(p[0] - at[0], p[1] - at[1]) < kGrip_px * pixel);
    const index = near >= 0 ? near : all.length;
    this.held = true;
    if (near < 0) this.#put(index, at);
    this.root.setPointerCapture(e.pointerId);
    const move = (moved) => this.#put(index, this.#at(moved));
    const end = () => {
      this.root.removeEventListener('pointermove', move);
      this.held = false;
      this.draw();
    };
    this.root.addEventListener('pointermove', move);
    for (const kind of ['pointerup', 'pointercancel']) this.root.addEventListener(kind, end, { once: true });
  }
}
