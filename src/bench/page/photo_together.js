// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Readings and photographs of one face put together, as the plan took them: each hole by tape and together, and what the
// two do not agree on, in words.
import { el, table } from './dom.js';

const kDegree = Math.PI / 180;

/// A place of the carrier on the face that sits so: the inverse of turn * (mirror y) * p + (x, y).
export function ontoFace({ x, y, turn_deg, mirrored }, [px, py]) {
  const [c, s] = [Math.cos(turn_deg * kDegree), Math.sin(turn_deg * kDegree)];
  const [dx, dy] = [px - x, py - y];
  return [c * dx + s * dy, (mirrored ? -1 : 1) * (-s * dx + c * dy)];
}

/// Holes of the face as the plan took them, on the face: {id, x, y, diameter}; each once, whatever it is bolted through.
/// What it took as not measured is not among them.
export function holesTogether(plan, part, face) {
  const holes = new Map();
  for (const stack of plan.stacks) {
    for (const layer of stack.layers) {
      if (layer.part !== part || layer.face !== face || !layer.hole || !layer.misfit || layer.found_diameter === null || holes.has(layer.hole)) continue;
      const seat = plan.seats.find((one) => one.joint === layer.joint);
      const at = [stack.x + layer.misfit[0], stack.y + layer.misfit[1]];
      const [x, y] = seat ? ontoFace(seat.plate_from_face, at) : at;  // a face that carries others is the frame itself
      holes.set(layer.hole, { id: layer.hole, x, y, diameter: layer.found_diameter });
    }
  }
  return [...holes.values()];
}

const kOfPictures = /photograph|picture|rubbing/;
const place = (hole, words) => (hole ? `${hole.x.toFixed(1)}, ${hole.y.toFixed(1)}` : words);
const byName = (a, b) => a.localeCompare(b, 'en', { numeric: true });

/// `taped`: the holes as the readings alone have them.
export function together({ plan, stale }, part, face, taped) {
  if (!plan) return el('p', { class: 'says' }, 'Once the job is worked out, the readings and the photographs of this face stand here side by side, put together.');
  const holes = holesTogether(plan, part, face);
  const head = `${part}, ${face}: `;
  const words = plan.warnings.filter((text) => text.startsWith(head)).map((text) => text.slice(head.length)).filter((text) => kOfPictures.test(text));
  if (!holes.length && !words.length) return null;
  const named = (all, id) => all.find((one) => one.id === id);
  const ids = [...new Set([...taped, ...holes].map((one) => one.id))].sort(byName);
  return el('details', { open: words.length > 0 }, el('summary', {}, el('b', {}, taped.length ? 'Readings and photographs put together' : 'As the plan takes the photographs'), stale ? ' - as it was last worked out; the job has changed since' : ''),
    words.map((text) => el('p', { class: 'look-again' }, el('b', {}, 'Look again: '), text)),
    words.length || !taped.length ? null : el('p', {}, 'They agree, within what each claims.'),
    taped.length ? null : el('p', { class: 'says' }, 'Datum edges seen in the pictures place the face better than it was laid by hand.'),
    holes.length ? table(taped.length ? ['hole', 'by tape: x, y, mm', 'together: x, y, mm', 'moves it by, mm', 'diameter, mm'] : ['hole', 'x, y, mm', 'diameter, mm'], ids.map((id) => {
      const [own, hole] = [named(taped, id), named(holes, id)];
      const diameter = hole ? hole.diameter.toFixed(2) : '-';
      if (!taped.length) return [id, place(hole), diameter];
      return [id, place(own, 'not by tape'), place(hole, 'left out'), own && hole ? Math.hypot(hole.x - own.x, hole.y - own.y).toFixed(2) : '-', diameter];
    })) : null);
}
