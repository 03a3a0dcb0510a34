// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// A stack enlarged: the old rims of its layers, the chosen circle, how far each is off.
import { svg } from './dom.js';

const kHalf = 100;  // of the picture, in its own units

/// `shift(part)` tells how far a part is being moved, mm. Misfits are drawn enlarged so that they can be seen.
export function moon(stack, { shift = () => [0, 0], size = 220 } = {}) {
  const finish = stack.finish_diameter ?? 20;
  const old = stack.layers.filter((layer) => !layer.new_plate && layer.found_diameter);
  const radius = Math.max(finish, ...old.map((layer) => layer.found_diameter)) / 2;
  const off = old.map((layer) => {
    const [dx, dy] = shift(layer.part);
    return [(layer.misfit?.[0] ?? 0) + dx, (layer.misfit?.[1] ?? 0) + dy];
  });
  const farthest = Math.max(0.01, ...off.map(([x, y]) => Math.hypot(x, y)));
  const factor = [10, 5, 2, 1].find((f) => f * farthest < 0.6 * radius) ?? 1;
  const scale = (0.62 * kHalf) / (radius + Math.min(factor * farthest, radius) * 0.5);
  const root = svg('svg', { viewBox: `${-kHalf} ${-kHalf} ${2 * kHalf} ${2 * kHalf}`, width: size, height: size, class: 'moon', role: 'img',
    'aria-label': `${stack.id}: ${old.map((layer, i) => `${layer.part} ${Math.hypot(...off[i]).toFixed(1)} mm off`).join(', ')}` });
  old.forEach((layer, i) => {
    const at = [off[i][0] * factor * scale, -off[i][1] * factor * scale];
    const r = (layer.found_diameter / 2) * scale;
    root.append(svg('circle', { cx: at[0], cy: at[1], r, class: 'old' }), svg('circle', { cx: at[0], cy: at[1], r: r - 2.4, class: 'old' }));
    root.append(svg('text', { x: at[0] + (r - 12) * Math.cos(i * 2.1 + 0.6), y: at[1] - (r - 12) * Math.sin(i * 2.1 + 0.6), class: 'letter' }, String.fromCharCode(65 + i)));
  });
  if (stack.finish_diameter) root.append(svg('circle', { cx: 0, cy: 0, r: (finish / 2) * scale, class: 'new' }));
  root.append(svg('path', { d: 'M-5 0H5M0 -5V5', class: 'cross' }));
  root.append(svg('text', { x: 0, y: kHalf - 3, class: 'caption', 'text-anchor': 'middle' }, factor > 1 ? `misfit x ${factor}` : 'to scale'));
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
