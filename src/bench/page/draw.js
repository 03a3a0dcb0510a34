// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Drawings to scale: y up, as on the plate.
import { keepingKeyboard, svg } from './dom.js';

const kGuess_px = 900;  // of a picture that was never seen
const kSame = 0.02;
const seen = new Map();  // mm to a pixel by label, as the picture was last seen: drawn anew it need not be drawn twice

/// A picture that shows all `points` (mm) with a margin; `label` names it, unless it is a group of things to press
/// ({group: label}); `draw` gets the element and the length in mm of a pixel on the screen, and is called anew when that
/// changes, so that lettering keeps its size.
export function picture(points, label, draw, margin = 0.06) {
  const xs = points.map((p) => p[0]);
  const ys = points.map((p) => p[1]);
  const [left, right] = points.length ? [Math.min(...xs), Math.max(...xs)] : [0, 100];
  const [low, high] = points.length ? [Math.min(...ys), Math.max(...ys)] : [0, 60];
  const edge = Math.max(right - left, high - low, 1) * margin;
  const [width, height] = [right - left + 2 * edge, high - low + 2 * edge];
  const root = svg('svg', { viewBox: `${left - edge} ${-high - edge} ${width} ${height}`, class: 'picture',
    role: label.group ? 'group' : 'img', 'aria-label': label.group ?? label });
  const key = label.group ?? label;
  let pixel = (seen.get(key) ?? 1 / Math.min(kGuess_px, window.innerWidth)) * width;
  draw(root, pixel);
  new ResizeObserver(() => {
    if (!root.clientWidth || !root.clientHeight) return;
    const now = Math.max(width / root.clientWidth, height / root.clientHeight);
    seen.set(key, now / width);
    if (Math.abs(now / pixel - 1) < kSame) return;
    pixel = now;
    keepingKeyboard(root, () => {
      root.replaceChildren();
      draw(root, pixel);
    });
  }).observe(root);
  return root;
}

export const path = (points) => points.map(([x, y], i) => `${i ? 'L' : 'M'}${x} ${-y}`).join('') + 'Z';

export function outline(points, className) { return svg('path', { d: path(points), class: className }); }

export function circle([x, y], radius, className) { return svg('circle', { cx: x, cy: -y, r: radius, class: className }); }

export function words([x, y], text, size, className = '', anchor = 'start') {
  return svg('text', { x, y: -y, 'font-size': size, class: className, 'text-anchor': anchor }, text);
}

/// The datum edge: heavy, with ticks on the inside, which lies to the right of it where the face is seen from behind.
export function datumEdge(from, along, length, pixel, from_behind = false) {
  const inside = from_behind ? [along[1], -along[0]] : [-along[1], along[0]];
  const to = [from[0] + along[0] * length, from[1] + along[1] * length];
  let d = `M${from[0]} ${-from[1]}L${to[0]} ${-to[1]}`;
  for (let s = 0; s <= length; s += 24 * pixel) {
    const at = [from[0] + along[0] * s, from[1] + along[1] * s];
    d += `M${at[0]} ${-at[1]}L${at[0] + inside[0] * 6 * pixel} ${-(at[1] + inside[1] * 6 * pixel)}`;
  }
  return svg('path', { d, class: 'datum' });
}

/// Axes and half lengths of the ellipse that holds 95 in 100.
export function ellipse95({ sxx, sxy, syy }) {
  const mean = (sxx + syy) / 2;
  const off = Math.hypot((sxx - syy) / 2, sxy);
  const k = Math.sqrt(5.991464547);  // chi-square, two degrees of freedom
  return {
    major: k * Math.sqrt(mean + off), minor: k * Math.sqrt(Math.max(mean - off, 0)),
    turn_deg: Math.atan2(2 * sxy, sxx - syy) / 2 * 180 / Math.PI,
  };
}
