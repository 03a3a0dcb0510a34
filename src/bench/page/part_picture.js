// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Carriers with what lies on them, and how a part stands at its plate: pictures in which a wrong hand is seen.
import { el, svg } from './dom.js';
import { picture, outline, circle, words, datumEdge, path } from './draw.js';

const kLetter = 0.6;  // width of a letter to its height, about
const kLetter_px = 16;

/// Words painted on the side that was measured, along the face's own x: in mirror writing where one looks through the
/// metal at them from behind. Where the edge is too short for them the part's name must do. What lies on the other side
/// has its own line, as two angles that clasp a plate lie one over the other.
function painted(face, pixel) {
  const long = Math.max(...face.outline.map(([x, y]) => (x - face.datum_corner[0]) * face.along[0] + (y - face.datum_corner[1]) * face.along[1]));
  const whole = `${face.part}, ${face.face}`;
  const text = whole.length * kLetter * kLetter_px * pixel > long ? face.part : whole;
  const up = face.side === 'marked' ? 12 : 32;
  const [ax, ay] = face.along;
  const [cx, cy] = face.seen_from_behind ? [ay, -ax] : [-ay, ax];
  const [x, y] = face.datum_corner;
  return svg('g', { transform: `matrix(${ax} ${-ay} ${-cx} ${cy} ${x} ${-y})` },
    svg('text', { x: 10 * pixel, y: -up * pixel, 'font-size': kLetter_px * pixel, class: face.seen_from_behind ? 'from-behind' : '' }, text));
}

/// One carrier with the drawing's holes and the outlines of what lies on it.
/// `sizes` writes its length and height, `names` the holes' names.
export function carrierPicture(carrier, label, { sizes = false, names = false } = {}) {
  const points = [...carrier.outline, ...carrier.faces.flatMap((face) => face.outline)];
  return picture(points, label, (root, pixel) => {
    root.append(outline(carrier.outline, 'plate'));
    const [xs, ys] = [0, 1].map((i) => carrier.outline.map((p) => p[i]));
    root.append(datumEdge([0, 0], [1, 0], Math.max(...xs), pixel));
    for (const place of carrier.keep_outs ?? []) root.append(outline(place.outline, 'keep-out'));
    if (carrier.joint_line) root.append(svg('path', { d: path(carrier.joint_line).slice(0, -1), class: 'joint-line' }));
    for (const face of carrier.faces) {
      root.append(outline(face.outline, face.side === 'marked' ? 'face' : 'face behind'));
      root.append(datumEdge(face.datum_corner, face.along, 70 * pixel, pixel, face.seen_from_behind), painted(face, pixel));
    }
    for (const hole of carrier.holes) root.append(circle([hole.x, hole.y], Math.max((hole.diameter ?? 0) / 2, 2.5 * pixel), 'drawn'));
    if (names) for (const hole of carrier.holes) root.append(words([hole.x + (hole.diameter ?? 0) / 2 + 4 * pixel, hole.y + 4 * pixel], hole.id, 16 * pixel));
    if (!sizes) return;
    const [low, high] = [[Math.min(...xs), Math.min(...ys)], [Math.max(...xs), Math.max(...ys)]];
    root.append(words([(low[0] + high[0]) / 2, low[1] - 24 * pixel], `${(high[0] - low[0]).toFixed(1)} mm`, 18 * pixel, '', 'middle'),
      words([high[0] - 8 * pixel, (low[1] + high[1]) / 2], `${(high[1] - low[1]).toFixed(1)} mm`, 18 * pixel, '', 'end'));
  }, sizes ? 0.1 : 0.06);
}

const kEye = 'M-16 0Q0 -12 16 0Q0 12 -16 0ZM-5 0A5 5 0 1 0 5 0A5 5 0 1 0 -5 0';

/// The joint seen along its edge: which side of the plate the part lies on, and where the eye was that measured it.
export function endView(joint, part, carrier) {
  const up = joint.side === 'marked' ? -1 : 1;  // the marked face looks up
  const face = part.faces.find((one) => one.name === joint.face);
  const faying = face.measured_from === 'faying';
  const bar = (y, height, className, width = 220) => svg('rect', { x: 60, y, width, height, class: className });
  const lifted = faying ? 26 : 0;  // to show where the eye was
  const top = up < 0 ? 62 - lifted : 106 + lifted;
  const root = svg('svg', { viewBox: up < 0 ? '0 -16 520 152' : '0 60 520 152', class: 'end-view', role: 'img', 'aria-label': `${part.id} lies on the ${joint.side === 'marked' ? 'marked' : 'other'} side of ${joint.on}; it was measured from its ${face.measured_from} side` },
    bar(88, 18, 'plate', 400), svg('text', { x: 470, y: 80, 'text-anchor': 'end' }, `${carrier?.marked_face ?? 'marked'} face`),
    svg('text', { x: 470, y: 126, 'text-anchor': 'end' }, 'other face'),
    bar(top, 26, 'face movable'), part.kind === 'angle' ? svg('rect', { x: 60, y: up < 0 ? top - 46 : top + 26, width: 26, height: 46, class: 'face movable' }) : null,
    svg('text', { x: 170, y: top + 18, 'text-anchor': 'middle' }, part.id),
    svg('g', { transform: `translate(250 ${faying ? (up < 0 ? 75 : 119) : up < 0 ? 30 : 162})` }, svg('path', { d: kEye, class: 'eye' })),
    faying ? null : svg('path', { d: `M250 ${up < 0 ? 44 : 148}V${up < 0 ? 60 : 134}`, class: 'eye' }));
  const behind = faying === (joint.side === 'marked') ? 'On the drawing above its lettering stands in mirror writing: you look at its back.' : 'On the drawing above its lettering reads plainly: you look at the side that was measured.';
  return el('figure', {}, root, el('figcaption', {}, faying ? 'Measured lying turned over, from the side that touches the plate. ' : 'Measured from the side that stays in sight. ',
    joint.side === 'marked' || joint.side === 'other' ? behind : ''));
}
