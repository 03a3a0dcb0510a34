// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// The drawing's holes on a plate: a row, a grid, a bolt circle, single holes; their fastener, and which parts have them.
import { Adder, carriersOf, jobOf, length, sketchedCarrier, withCarrier } from './adder.js';
import { el } from './dom.js';
import { roughly_mm } from './outline_pad.js';
import { carrierPicture } from './part_picture.js';

const kInch_mm = 25.4;
const kNew = ' new';  // no name may begin so
const kAt = [['x', 'first hole: x on the plate', '40'], ['y', 'first hole: y on the plate', '45']];
const kRow = [...kAt, ['pitch', 'pitch, hole to hole', '3 in'], ['count', 'holes in the row', '6']];
const kAcross = [['gauge', 'row to row', '2 1/2 in'], ['rows', 'rows', '2']];
/// By the pattern's own key: what it is called, what must be typed, what may be.
const kKinds = {
  row: { words: 'a row', fields: kRow, direction: 'direction_deg' },
  grid: { words: 'rows side by side', fields: [...kRow, ...kAcross], direction: 'direction_deg' },
  staggered: { words: 'staggered rows', fields: [...kRow, ...kAcross], direction: 'direction_deg' },
  circle: { words: 'a bolt circle', fields: [['x', 'its middle: x on the plate', '200'], ['y', 'its middle: y on the plate', '150'], ['radius', 'radius', '60'], ['count', 'holes on the circle', '8']], direction: 'start_deg' },
  hole: { words: 'a single hole', fields: kAt },
};
const kFasteners = [['rivet', 'rivet'], ['rivet-headed fitted bolt', 'rivet-headed fitted bolt'], ['fitted bolt', 'fitted bolt'], ['clearance bolt', 'clearance bolt']];
const kAny = { kind: 'fitted bolt', diameter: 10, sizes: [10] };  // while none is typed: for the drawing of the holes alone
const kSteps = 3;  // sizes offered beyond the one asked for

function sixteenths(n) {
  let [top, bottom] = [n, 16];
  while (top % 2 === 0 && bottom > 1) [top, bottom] = [top / 2, bottom / 2];
  const whole = Math.floor(top / bottom);
  const rest = top % bottom ? `${top % bottom}/${bottom}` : '';
  return `${[whole || '', rest].filter(Boolean).join(' ')} in`;
}

/// Sizes of hole that a shop has for this shank, to begin with: the one asked for and a few above it; and the clearance,
/// where it is not the program's own.
export function sizesFor(diameter, kind, units) {
  const mm = roughly_mm(diameter, units);
  if (!(mm > 0)) return null;
  const loose = /^(rivet|clearance bolt)$/.test(kind);
  const n = (mm / kInch_mm) * 16;
  if (Math.abs(n - Math.round(n)) < 1e-6) return { sizes: Array.from({ length: kSteps + 1 }, (_, i) => sixteenths(Math.round(n) + (loose ? 1 : 0) + i)) };
  const asked = mm + (loose ? 1 : 0);
  const written = (value) => (units === 'in' ? `${value} mm` : value);
  return { sizes: Array.from({ length: kSteps + 1 }, (_, i) => written(Number((asked + i).toFixed(3)))), ...(loose ? { clearance: written(1) } : {}) };
}

export class AddHoles extends Adder {
  constructor(store) { super(store, { id: 'add-holes', prefix: 'hole', title: 'Add the drawing\'s holes' }); }

  #groups() { return (this.store.job.hole_groups ?? []).filter((group) => Array.isArray(this.store.job.patterns?.[group.pattern])); }
  #own() { return this.#groups().find(({ name }) => name === this.typed.group); }
  #carrier() { return this.#own()?.on ?? this.typed.on; }
  #joints() { return (this.store.job.joints ?? []).filter((joint) => joint.on === this.#carrier()); }

  fields() {
    const { job } = this.store;
    const { typed } = this;
    const carriers = carriersOf(job);
    if (carriers.length === 0) return [el('p', {}, 'There is no plate yet: add the new plate first.')];
    const group = this.choice('group', 'these are', [[kNew, 'holes for a fastener of their own'], ...this.#groups().map(({ name }) => [name, `more of ${name}`])], { anew: true, long: true });
    const fresh = !this.#own();
    const on = fresh ? this.choice('on', 'on', carriers.map((name) => [name, name]), { anew: true }) : null;
    const kind = this.choice('kind', 'as the drawing gives them', Object.entries(kKinds).map(([key, { words }]) => [key, words]), { anew: true });
    const { fields, direction } = kKinds[typed.kind];
    for (const { name } of this.#joints()) typed[`joint ${name}`] ??= true;
    return [el('div', { class: 'columns' }, group, fresh ? [this.text('name', 'what they are called', 'foot holes'), on] : null, kind,
      this.text('letter', typed.kind === 'hole' ? 'its name' : 'their letter: A makes A1, A2, ...', typed.kind === 'hole' ? 'D1' : 'A'), fields.map((one) => this.text(...one)),
      direction ? this.text('direction', typed.kind === 'circle' ? 'where the first hole lies, degrees' : 'the row runs, degrees', '0: to the right, 90: up') : null),
    this.#own()?.at ? el('p', { class: 'says' }, `x and y count from where ${typed.group} begins on the plate.`) : null,
    fresh ? this.#fastener() : null,
    fresh && this.#joints().length ? el('fieldset', {}, el('legend', {}, 'parts that have these holes too'), this.#joints().map((joint) => this.tick(`joint ${joint.name}`, `${joint.part}, ${joint.face}`))) : null,
    el('button', { type: 'button', id: 'hole-it', class: 'main', onclick: () => this.add() }, 'Add these holes')];
  }

  #fastener() {
    const known = Object.keys(this.store.job.fasteners ?? {}).filter((name) => name !== 'note');
    const which = known.length ? this.choice('fastener', 'fastener', [[kNew, 'another'], ...known.map((name) => [name, name])], { anew: true }) : null;
    if (!known.length) this.typed.fastener = kNew;
    if (this.typed.fastener !== kNew) return el('div', { class: 'columns' }, which);
    return el('div', { class: 'columns' }, which, this.choice('fastening', 'it is a', kFasteners, { anew: true }),
      this.text('diameter', 'diameter of its shank', '3/4 in', { anew: true }),
      this.text('sizes', 'holes you have drills or reamers for', '13/16 in, 7/8 in, 15/16 in', { says: 'Rising, the one the drawing asks for first. A hole may be opened out to the others. Left empty: those offered here.' }));
  }

  #item() {
    const { typed } = this;
    const { fields, direction } = kKinds[typed.kind];
    const item = { [typed.kind]: (typed.letter ?? '').trim() };
    for (const [key] of fields) item[key] = length(typed[key]);
    if (direction && (typed.direction ?? '').trim()) item[direction] = length(typed.direction);
    return item;
  }

  #sizes() {
    const typed = (this.typed.sizes ?? '').split(/[,;]/).map((one) => one.trim()).filter(Boolean).map(length);
    const offered = sizesFor(this.typed.diameter ?? '', this.typed.fastening, this.store.job.units);
    return { ...offered, sizes: typed.length ? typed : offered?.sizes ?? [] };
  }

  begin() {
    super.begin();
    const offered = sizesFor(this.typed.diameter ?? '', this.typed.fastening, this.store.job?.units);
    const field = document.getElementById('hole-sizes');
    if (offered && field) field.placeholder = offered.sizes.join(', ');
  }

  made() {
    const { job } = this.store;
    const { typed } = this;
    if (!typed.kind) return null;
    const own = this.#own();
    const item = this.#item();
    const name = own?.name ?? ((typed.name ?? '').trim() || 'holes');
    const fastener = own?.fastener ?? (typed.fastener === kNew ? `${name} ${typed.fastening}` : typed.fastener);
    const group = own ?? { name, on: typed.on, pattern: name, fastener };
    const made = { diameter: length(typed.diameter), ...this.#sizes() };
    const fresh = !own && typed.fastener === kNew ? { kind: typed.fastening, ...made } : null;
    const items = [...(job.patterns?.[group.pattern] ?? []), item];
    const joints = (job.joints ?? []).filter((joint) => joint.on === group.on);
    const carrier = { ...withCarrier(job, group.on, joints.map((one) => one.part)), joints: joints.map((joint) => ({ ...joint, groups: [], pins: undefined, blank: undefined })) };
    const taken = !own && (job.patterns?.[name] !== undefined || (job.hole_groups ?? []).some((one) => one.name === name));
    return { what: `holes ${item[typed.kind]} added`, item, group,
      needs: [...(own ? [] : ['name']), 'letter', ...kKinds[typed.kind].fields.map(([key]) => key), ...(fresh ? ['diameter'] : [])],
      wrong: taken ? [{ key: 'name', where: '', what: `there are holes called ${name} already`, remedy: 'give these another name, or choose "more of" them', code: '' }] : undefined,
      keys: { direction_deg: 'direction', start_deg: 'direction', [typed.kind]: 'letter' },
      bare: jobOf(job, carrier), alone: jobOf(job, { ...carrier,
        patterns: { [group.pattern]: items }, hole_groups: [{ ...group, holes: undefined }], fasteners: { [fastener]: fresh && !(typed.diameter ?? '').trim() ? kAny : fresh ?? job.fasteners[fastener] } }),
      change: (all) => {
        all.patterns = { ...all.patterns, [group.pattern]: items };
        if (own) return;
        all.hole_groups = [...(all.hole_groups ?? []), group];
        if (fresh) all.fasteners = { ...all.fasteners, [fastener]: fresh };
        for (const joint of all.joints ?? []) if (joint.on === group.on && typed[`joint ${joint.name}`]) joint.groups = [...joint.groups, name];
      } };
  }

  picture(sketch, { group }) {
    const carrier = sketchedCarrier(sketch, group.on);
    return [el('figure', {}, el('figcaption', {}, `${carrier.name}, seen looking at its ${carrier.marked_face} face: ${carrier.holes.length} holes`), carrierPicture(carrier, 'the drawing\'s holes', { names: true }))];
  }

  /// More of the same is the likeliest next.
  next({ group }) { return { group: group.name }; }
}
