// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// What is drawn over a flat picture: rims found, names, what the readings say, the part's outline.
import { svg } from './dom.js';
import { circle, outline, words } from './draw.js';
import { toBoard } from './photo_place.js';

const kArrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const kStep_mm = 0.5;

const cross = ([x, y], size, className) => svg('path', { d: `M${x - size} ${-y}h${2 * size}M${x} ${-y - size}v${2 * size}`, class: className });

function hole(set, one, pixel) {
  const chosen = one.id === set.chosen;
  const none = set.dismissed(one);
  const at = chosen && set.nudged ? [set.nudged.x, set.nudged.y] : [one.x, one.y];
  const look = one.doubtful && !none;
  const state = none ? 'no hole' : look ? 'look again' : 'sound';
  const key = (e) => {
    const by = kArrows[e.key];
    if (e.key === 'Enter' || e.key === ' ') {
      e.preventDefault();
      if (set.nudged) set.nudge(one);
      else set.choose(chosen ? null : one.id);
    } else if (by && chosen) {
      e.preventDefault();
      e.stopPropagation();
      const step = kStep_mm * (e.shiftKey ? 4 : 1);
      set.nudged = { id: one.id, x: at[0] + by[0] * step, y: at[1] + by[1] * step };
      set.view.redraw();
    }
  };
  const radius = one.diameter / 2;
  return svg('g', { class: `seen${look ? ' look-again' : ''}${none ? ' none' : ''}${chosen ? ' chosen' : ''}`, tabindex: 0, role: 'button', 'data-hole': one.id,
    id: `flat-hole-${set.id}-${one.id}`, 'aria-pressed': String(chosen), 'aria-label': `${one.id}, ${one.diameter.toFixed(1)} mm, ${state}`, onkeydown: key },
  circle(at, Math.max(radius, 14 * pixel), 'target'), circle([one.x, one.y], radius, 'halo'), circle([one.x, one.y], radius, 'rim'),
  none ? svg('path', { d: `M${one.x - radius} ${-one.y - radius}l${2 * radius} ${2 * radius}m0 ${-2 * radius}l${-2 * radius} ${2 * radius}`, class: 'rim' }) : null,
  cross(at, 5 * pixel, 'rim'),
  chosen ? svg('g', { class: 'handle', 'data-hole': one.id }, circle(at, Math.max(radius * 0.6, 22 * pixel), 'target'), circle(at, 22 * pixel, 'grip'), cross(at, 14 * pixel, 'rim')) : null,
  words([one.x + radius + 4 * pixel, one.y - radius * 0.2], `${one.id}${look ? ' ?' : ''}`, 17 * pixel, 'name'));
}

export function drawHoles(set, group, pixel) {
  const { answer } = set;
  if (!answer?.reading) return;
  const board = toBoard(answer.at);
  if (answer.placed && answer.outline) {
    group.append(outline(answer.outline.map(board), 'lies'));
    const [corner, along] = [board([0, 0]), board([40 * pixel, 0])];
    group.append(svg('path', { d: `M${corner[0]} ${-corner[1]}L${along[0]} ${-along[1]}`, class: 'lies-x' }), words(along, 'x', 15 * pixel, 'name'));
    for (const one of set.taped ?? []) group.append(cross(board([one.x, one.y]), 9 * pixel, 'taped'), words(board([one.x, one.y]).map((v, i) => v - (i ? 16 : -6) * pixel), `${one.id} by tape`, 13 * pixel, 'name'));
  }
  for (const one of answer.reading.holes) group.append(hole(set, one, pixel));
  for (const mark of set.lostMarks()) group.append(cross([mark.x, mark.y], 12 * pixel, 'lost'));
  if (set.placing.corner) group.append(cross(set.placing.corner, 16 * pixel, 'lies-x'));
}
