// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// A DXF file as it is, drawn: what the shop's program will read, layer by layer.
import { el, svg } from './dom.js';

/// Entities as {kind, layer, then values by group code}; a group that is there several times is a list.
function entities(text) {
  const lines = text.split(/\r?\n/).map((line) => line.trim());
  const all = [];
  let inside = false;
  for (let i = 0; i + 1 < lines.length; i += 2) {
    const [code, value] = [Number(lines[i]), lines[i + 1]];
    if (code === 2 && value === 'ENTITIES') inside = true;
    else if (inside && code === 0 && value === 'ENDSEC') break;
    else if (inside && code === 0) all.push({ kind: value });
    else if (inside && all.length) (all.at(-1)[code] ??= []).push(value);
  }
  return all;
}

const number = (entity, code, otherwise = 0) => Number(entity[code]?.[0] ?? otherwise);

/// An entity as [element, points that it must fit]; nothing for what carries no ink.
function drawn(entity, corners) {
  const [x, y] = [number(entity, 10), number(entity, 20)];
  if (entity.kind === 'CIRCLE') {
    const r = number(entity, 40);
    return [svg('circle', { cx: x, cy: -y, r }), [[x - r, y - r], [x + r, y + r]]];
  }
  if (entity.kind === 'LINE') {
    const [x2, y2] = [number(entity, 11), number(entity, 21)];
    return [svg('line', { x1: x, y1: -y, x2, y2: -y2 }), [[x, y], [x2, y2]]];
  }
  if (entity.kind === 'ARC') {
    const r = number(entity, 40);
    const [from, to] = [number(entity, 50), number(entity, 51)].map((deg) => deg * Math.PI / 180);
    const sweep = (to - from + 2 * Math.PI) % (2 * Math.PI);
    const at = (angle) => `${x + r * Math.cos(angle)} ${-(y + r * Math.sin(angle))}`;
    return [svg('path', { d: `M${at(from)}A${r} ${r} 0 ${sweep > Math.PI ? 1 : 0} 0 ${at(to)}` }), [[x - r, y - r], [x + r, y + r]]];
  }
  if (entity.kind === 'ELLIPSE') {
    const [mx, my] = [number(entity, 11), number(entity, 21)];
    const major = Math.hypot(mx, my);
    return [svg('ellipse', { rx: major, ry: major * number(entity, 40, 1), transform: `translate(${x} ${-y}) rotate(${-Math.atan2(my, mx) * 180 / Math.PI})` }), [[x - major, y - major], [x + major, y + major]]];
  }
  if (entity.kind === 'LWPOLYLINE' || entity.kind === 'POLYLINE') {
    const points = entity.kind === 'LWPOLYLINE' ? entity[10].map((px, i) => [Number(px), Number(entity[20][i])]) : corners;
    const closed = number(entity, 70) & 1;
    return [svg(closed ? 'polygon' : 'polyline', { points: points.map(([px, py]) => `${px},${-py}`).join(' ') }), points];
  }
  if (entity.kind === 'TEXT') {
    const anchored = entity[72] !== undefined && number(entity, 72) !== 0 && entity[11] !== undefined;
    const [tx, ty] = anchored ? [number(entity, 11), number(entity, 21)] : [x, y];
    const text = entity[1][0].replace(/\\U\+([0-9A-F]{4})/gi, (_, hex) => String.fromCharCode(parseInt(hex, 16))).replace(/%%c/gi, 'Ø');
    const [h, turn] = [number(entity, 40), number(entity, 50) * Math.PI / 180];
    const reach = 0.8 * h * text.length * (anchored ? [0, 0.5, 1][number(entity, 72)] ?? 1 : 1);
    const back = [tx - reach * Math.cos(turn), ty - reach * Math.sin(turn)];
    const on = [tx + 0.8 * h * text.length * Math.cos(turn), ty + 0.8 * h * text.length * Math.sin(turn)];
    return [svg('text', { 'font-size': 1.37 * number(entity, 40), 'text-anchor': ['start', 'middle', 'end'][number(entity, 72)] ?? 'start', transform: `translate(${tx} ${-ty}) rotate(${-number(entity, 50)})` }, text), [anchored ? back : on, [tx, ty]]];
  }
  return null;
}

export function dxfView(text, name) {
  const all = entities(text);
  const layers = new Map();
  const points = [];
  all.forEach((entity, i) => {
    const end = entity.kind === 'POLYLINE' ? all.findIndex((one, k) => k > i && one.kind === 'SEQEND') : i;
    const corners = all.slice(i + 1, end).filter((one) => one.kind === 'VERTEX').map((one) => [number(one, 10), number(one, 20)]);
    const found = drawn(entity, corners);
    if (!found) return;
    const layer = entity[8]?.[0] ?? '0';
    if (!layers.has(layer)) layers.set(layer, svg('g', { class: `layer${/do not cut|pop|label|ordinate|check|keep/i.test(layer) ? ' quiet' : ''}${/text|label|ordinate/i.test(layer) ? ' lettering' : ''}` }));
    layers.get(layer).append(found[0]);
    points.push(...found[1]);
  });
  const [xs, ys] = [points.map((p) => p[0]), points.map((p) => p[1])];
  const margin = 0.03 * (Math.max(...xs) - Math.min(...xs)) + 8;
  const [left, right, low, high] = [Math.min(...xs) - margin, Math.max(...xs) + margin, Math.min(...ys) - margin, Math.max(...ys) + margin];
  const root = svg('svg', { viewBox: `${left} ${-high} ${right - left} ${high - low}`, class: 'dxf', role: 'img', 'aria-label': `${name}: the drawing` }, ...layers.values());
  return el('div', {}, root, el('div', { class: 'line', role: 'group', 'aria-label': 'layers' }, [...layers].map(([layer, group], i) => {
    const id = `layer-${i}`;
    return el('span', { class: 'line' }, el('input', { type: 'checkbox', id, checked: true, onchange: (e) => { group.style.display = e.target.checked ? '' : 'none'; } }), el('label', { for: id }, layer));
  })));
}
