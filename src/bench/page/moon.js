// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// A stack enlarged: the old rims of its layers, the chosen circle, the crescents of old holes that it leaves, how far
// each is off.
import { svg } from './dom.js';

const kHalf = 100;  // of the picture, in its own units
let hatches = 0;

/// `shift(layer)` tells how far a hand has carried a layer's hole, mm. Misfits and differences of size against the new
/// circle are enlarged alike, so that a rim lies within the new circle here exactly where it does on the plate.
export function moon(stack, { shift = () => [0, 0], size = 260 } = {}) {
  const old = stack.layers.filter((layer) => !layer.new_plate && layer.found_diameter);
  const radius = (stack.finish_diameter ?? Math.max(20, ...old.map((layer) => layer.found_diameter))) / 2;
  const rims = old.map((layer) => {
    const [dx, dy] = shift(layer);
    return { layer, x: (layer.misfit?.[0] ?? 0) + dx, y: (layer.misfit?.[1] ?? 0) + dy, more: layer.found_diameter / 2 - radius };
  });
  const factor = [10, 5, 2, 1].find((f) => rims.every((rim) => f * Math.hypot(rim.x, rim.y) < 0.6 * radius && f * Math.abs(rim.more) < 0.6 * radius)) ?? 1;
  const farthest = Math.max(radius, ...rims.map((rim) => factor * Math.hypot(rim.x, rim.y) + radius + factor * rim.more));
  const scale = (0.8 * kHalf) / farthest;
  const root = svg('svg', { viewBox: `${-kHalf} ${-kHalf} ${2 * kHalf} ${2 * kHalf + 14}`, width: size, height: size, class: 'moon', role: 'img',
    'aria-label': `${stack.id}: ${rims.map((rim) => `${rim.layer.part} ${Math.hypot(rim.x, rim.y).toFixed(1)} mm off`).join(', ')}` });
  const drawn = rims.map((rim) => ({ cx: rim.x * factor * scale, cy: -rim.y * factor * scale, r: Math.max((radius + factor * rim.more) * scale, 4) }));
  if (stack.finish_diameter && stack.method !== 'plug') root.append(...crescents(drawn, radius * scale));
  drawn.forEach(({ cx, cy, r }, i) => {
    root.append(svg('circle', { cx, cy, r, class: 'old' }), svg('circle', { cx, cy, r: r - 2.4, class: 'old' }));
    root.append(svg('text', { x: cx + (r - 12) * Math.cos(i * 2.1 + 0.6), y: cy - (r - 12) * Math.sin(i * 2.1 + 0.6), class: 'letter' }, String.fromCharCode(65 + i)));
  });
  if (stack.finish_diameter) root.append(svg('circle', { cx: 0, cy: 0, r: radius * scale, class: 'new' }));
  root.append(svg('path', { d: 'M-5 0H5M0 -5V5', class: 'cross' }));
  root.append(svg('text', { x: 0, y: kHalf + 10, class: 'caption', 'text-anchor': 'middle' }, factor > 1 ? `misfit x ${factor}` : 'to scale'));
  return root;
}

/// What is left of old holes outside the new circle, hatched at 45 degrees.
function crescents(rims, radius) {
  hatches += 1;
  const [hatch, mask] = [`hatch${hatches}`, `left${hatches}`];
  return [
    svg('defs', {},
      svg('pattern', { id: hatch, width: 4, height: 4, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' }, svg('path', { d: 'M2 0V4', class: 'hatch' })),
      svg('mask', { id: mask, maskUnits: 'userSpaceOnUse', x: -2 * kHalf, y: -2 * kHalf, width: 4 * kHalf, height: 4 * kHalf },
        rims.map((rim) => svg('circle', { ...rim, fill: '#fff' })), svg('circle', { cx: 0, cy: 0, r: radius, fill: '#000' }))),
    svg('rect', { x: -kHalf, y: -kHalf, width: 2 * kHalf, height: 2 * kHalf, fill: `url(#${hatch})`, mask: `url(#${mask})` })];
}

/// The smallest circle about all old rims of a stack after parts moved. Pairs and triples would give it exactly; a hand
/// that drags needs it to 0.001 mm, found by shrinking steps.
export function cleanUp(stack, shift) {
  const discs = stack.layers.filter((layer) => !layer.new_plate && layer.found_diameter && layer.misfit).map((layer) => {
    const [dx, dy] = shift(layer);
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
