// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// A stack enlarged: the old rims of its layers, the chosen circle, how far each is off.
import { svg } from './dom.js';

const kHalf = 100;  // of the picture, in its own units

/// `shift(part)` tells how far a part is being moved, mm. Misfits and differences of size against the new circle are
/// enlarged alike, so that a rim lies within the new circle here exactly where it does on the plate.
export function moon(stack, { shift = () => [0, 0], size = 220 } = {}) {
  const old = stack.layers.filter((layer) => !layer.new_plate && layer.found_diameter);
  const radius = (stack.finish_diameter ?? Math.max(20, ...old.map((layer) => layer.found_diameter))) / 2;
  const rims = old.map((layer) => {
    const [dx, dy] = shift(layer.part);
    return { layer, x: (layer.misfit?.[0] ?? 0) + dx, y: (layer.misfit?.[1] ?? 0) + dy, more: layer.found_diameter / 2 - radius };
  });
  const factor = [10, 5, 2, 1].find((f) => rims.every((rim) => f * Math.hypot(rim.x, rim.y) < 0.6 * radius && f * Math.abs(rim.more) < 0.6 * radius)) ?? 1;
  const farthest = Math.max(radius, ...rims.map((rim) => factor * Math.hypot(rim.x, rim.y) + radius + factor * rim.more));
  const scale = (0.8 * kHalf) / farthest;
  const root = svg('svg', { viewBox: `${-kHalf} ${-kHalf} ${2 * kHalf} ${2 * kHalf + 14}`, width: size, height: size, class: 'moon', role: 'img',
    'aria-label': `${stack.id}: ${rims.map((rim) => `${rim.layer.part} ${Math.hypot(rim.x, rim.y).toFixed(1)} mm off`).join(', ')}` });
  rims.forEach((rim, i) => {
    const at = [rim.x * factor * scale, -rim.y * factor * scale];
    const r = Math.max((radius + factor * rim.more) * scale, 4);
    root.append(svg('circle', { cx: at[0], cy: at[1], r, class: 'old' }), svg('circle', { cx: at[0], cy: at[1], r: r - 2.4, class: 'old' }));
    root.append(svg('text', { x: at[0] + (r - 12) * Math.cos(i * 2.1 + 0.6), y: at[1] - (r - 12) * Math.sin(i * 2.1 + 0.6), class: 'letter' }, String.fromCharCode(65 + i)));
  });
  if (stack.finish_diameter) root.append(svg('circle', { cx: 0, cy: 0, r: radius * scale, class: 'new' }));
  root.append(svg('path', { d: 'M-5 0H5M0 -5V5', class: 'cross' }));
  root.append(svg('text', { x: 0, y: kHalf + 10, class: 'caption', 'text-anchor': 'middle' }, factor > 1 ? `misfit x ${factor}` : 'to scale'));
  return root;
}

/// The smallest circle about all old rims of a stack after parts moved: by the pairs and triples would be exact; what a
/// hand needs while it drags is the circle about the stack's own best centre, found by shrinking steps.
export function cleanUp(stack, shift) {
  const discs = stack.layers.filter((layer) => !layer.new_plate && layer.found_diameter && layer.misfit).map((layer) => {
    const [dx, dy] = shift(layer.part);
    return [layer.misfit[0] + dx, layer.misfit[1] + dy, layer.found_diameter / 2];
  });
  if (discs.length === 0) return 0;
  let [x, y] = [0, 0];
  const reach = ([cx, cy, r]) => Math.hypot(cx - x, cy - y) + r;
  for (let step = 0.5; step > 1e-4; step *= 0.93) {
    const far = discs.reduce((a, b) => (reach(a) >= reach(b) ? a : b));
    const distance = Math.hypot(far[0] - x, far[1] - y);
    if (distance < 1e-9) break;
    x += ((far[0] - x) / distance) * Math.min(step, distance);
    y += ((far[1] - y) / distance) * Math.min(step, distance);
  }
  return 2 * Math.max(...discs.map(reach));
}
