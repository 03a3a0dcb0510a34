// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Help where it is wanted: a few sentences and a picture at each station.
import { el, svg } from './dom.js';

const line = (d, className = 'dim') => svg('path', { d, class: className });
const text = (x, y, words, anchor = 'middle') => svg('text', { x, y, 'text-anchor': anchor }, words);
const arrow = (x1, y1, x2, y2) => {
  const angle = Math.atan2(y2 - y1, x2 - x1);
  const head = (x, y, a) => `M${x} ${y}l${9 * Math.cos(a + 0.35)} ${9 * Math.sin(a + 0.35)}M${x} ${y}l${9 * Math.cos(a - 0.35)} ${9 * Math.sin(a - 0.35)}`;
  return line(`M${x1} ${y1}L${x2} ${y2}${head(x1, y1, angle)}${head(x2, y2, angle + Math.PI)}`);
};

/// On a narrow page a picture is moved rather than made too small to read.
const shown = (label, picture) => el('div', { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': label }, picture);

/// What each kind of reading measures.
function readingsPicture() {
  const hole = (x, y, r, name) => [svg('circle', { cx: x, cy: y, r, class: 'old' }), text(x, y + 6, name)];
  return shown('what each kind of reading measures', svg('svg', { viewBox: '0 0 760 400', class: 'help-picture', role: 'img', 'aria-label': 'what each kind of reading measures' },
    line('M40 360H740M40 360V20', 'edge'), text(390, 390, 'long datum edge'), svg('text', { transform: 'translate(22 190) rotate(-90)', 'text-anchor': 'middle' }, 'end edge'),
    hole(170, 250, 30, 'A1'), hole(420, 250, 38, 'A2'), hole(640, 250, 30, 'A3'),
    arrow(42, 318, 170, 318), text(106, 342, 'along A1'), line('M170 284V324'),
    arrow(470, 358, 470, 250), text(480, 318, 'across A2', 'start'), line('M424 250H476'),
    arrow(170, 180, 420, 180), text(295, 172, 'centres A1 A2'), line('M170 216V172M420 208V172'),
    arrow(200, 226, 382, 226), text(291, 218, 'near-edges A1 A2'),
    arrow(140, 120, 458, 120), text(299, 112, 'far-edges A1 A2'), line('M140 250V112M458 250V112'),
    arrow(140, 60, 382, 60), text(261, 52, 'same-edges A1 A2'), line('M140 120V52M382 250V52'),
    arrow(612, 238, 668, 262), text(640, 308, 'dia A3')));
}

/// What the marks on a plate mean.
function marksPicture() {
  const one = (x, draw, words) => svg('g', { transform: `translate(${x} 40)` }, draw, svg('text', { x: 0, y: 46, 'text-anchor': 'middle' }, words));
  const ring = (r, className = 'new') => svg('circle', { r, class: className });
  return shown('what the marks mean', svg('svg', { viewBox: '0 0 760 100', class: 'help-picture', role: 'img', 'aria-label': 'what the marks mean' },
    one(70, ring(18), 'as found'), one(220, [ring(18), ring(11, 'inner')], 'opened out'), one(370, [ring(18), line('M-18 -18l36 36m0 -36l-36 36', 'cross')], 'plugged'),
    one(520, [ring(18), line('M0 -18v-14m-7 0h14', 'nail')], 'pinned by you'), one(680, svg('g', { class: 'look-again' }, ring(18)), 'look again')));
}

const kHelp = {
  parts: () => [el('p', {}, 'A plate is what will be drilled; a part is what bolts or rivets to it. Each face has a frame: its datum corner, and x along its long datum edge. Say from which side you measured it: where the drawing shows its lettering in mirror writing, you look at its back.'),
    el('p', {}, 'A pattern is the drawing\'s holes; a hole group puts a pattern on a plate for one fastener; a joint says where a part\'s face lies and how far it may move. What cannot be right is told beside its field, and Take back undoes it.')],
  readings: () => [el('p', {}, 'One reading to a line: kind, hole, figure. Take each hole twice, from different holes or edges; what nothing checks is marked, and the best next reading is named.'), readingsPicture()],
  photos: () => [el('ol', {}, ['Print a board at full size and measure both check bars with a steel rule.', 'Lay it flat beside the holes; photograph from above, evenly lit, two or three times from different sides.',
    'Add the pictures, type what the bars measured and how high the print lies above the metal, and read the holes.', 'Look at each rim: press a hole to choose it, move it if its rim was missed, name it as your readings do.',
    'Lay the part\'s edges on the picture, or let the readings place it.'].map((step) => el('li', {}, step)))],
  fairing: () => [el('p', {}, 'Work it out seats every part within its play and decides every hole. Drag a part to see what it costs, hold it where you want it, pin a decision, and work it out again.'), marksPicture()],
  paper: () => [el('p', {}, 'Print the template once, measure its check bars, type what they measured, and work it out again: the next print is true on that printer. The figures are kept with the job.')],
};

export function help(station) {
  return el('details', { class: 'help' }, el('summary', {}, 'How this is done'), kHelp[station]());
}
