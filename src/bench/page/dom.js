// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Elements, made short. Text given here always stays text.

function build(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith('on')) element.addEventListener(name.slice(2), value);
    else if (name === 'value') element.value = value;
    else element.setAttribute(name, value === true && !name.startsWith('aria-') ? '' : value);
  }
  for (const child of children.flat(Infinity)) {
    if (child !== null && child !== undefined && child !== false) element.append(child);
  }
  return element;
}

export function el(tag, attributes = {}, ...children) {
  const element = build(document.createElement(tag), attributes, children);
  if (tag === 'select' && attributes.value !== undefined) element.value = attributes.value;  // its options were missing
  return element;
}

export function svg(tag, attributes = {}, ...children) {
  return build(document.createElementNS('http://www.w3.org/2000/svg', tag), attributes, children);
}

/// The same element with other children; keeps the keyboard where it was, by `id`.
export function fill(element, ...children) {
  const held = document.activeElement;
  const id = held && element.contains(held) ? held.id : '';
  element.replaceChildren(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
  if (id) document.getElementById(id)?.focus();
  return element;
}

/// Runs `work` once the calls have paused for `ms`; the last call counts.
export function afterPause(ms, work) {
  let timer = 0;
  return (...given) => {
    clearTimeout(timer);
    timer = setTimeout(() => work(...given), ms);
  };
}

/// A problem as a person reads it; its code in small type.
export function problemLine(problem) {
  const [what, ...place] = problem.what.split('\n');  // further lines point at the place in a faulty text
  return el('li', { class: 'problem' }, problem.where ? el('b', {}, problem.where.replace(/^\/.*\//, ''), ': ') : null,
    `${what}; ${problem.remedy}. `, el('small', {}, problem.code), place.length ? el('pre', {}, place.join('\n')) : null);
}
