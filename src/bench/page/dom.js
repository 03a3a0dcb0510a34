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

/// Runs `change`, which makes what stands in `element` anew; the keyboard stays where it was, by `id`, and text that was
/// marked in a field stays marked: the next letter typed replaces it.
export function keepingKeyboard(element, change) {
  const held = document.activeElement;
  const { id, selectionStart, selectionEnd } = held && element.contains(held) ? held : {};
  change();
  const again = id ? document.getElementById(id) : null;
  again?.focus();
  // Only where there is something marked: setting a caret would scroll the page under the hand.
  if (again && selectionStart !== selectionEnd) again.setSelectionRange(selectionStart, selectionEnd);
}

/// The same element with other children; keeps the keyboard where it was.
export function fill(element, ...children) {
  keepingKeyboard(element, () => {
    element.replaceChildren(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
  });
  return element;
}

/// Runs `work` once the calls have paused for `ms`, or when `now()` is called; the last call counts.
export function afterPause(ms, work) {
  let timer = 0;
  let waiting = null;
  const run = () => {
    clearTimeout(timer);
    const given = waiting;
    waiting = null;
    if (given) work(...given);
  };
  const soon = (...given) => {
    clearTimeout(timer);
    waiting = given;
    timer = setTimeout(run, ms);
  };
  soon.now = run;
  return soon;
}

let pressed = false;
const resting = new Set();  // what waits for the hand to be lifted
addEventListener('pointerdown', () => { pressed = true; }, true);
for (const end of ['pointerup', 'pointercancel']) {
  addEventListener(end, () => {
    pressed = false;
    for (const work of resting) setTimeout(work);
    resting.clear();
  }, true);
}

/// Runs `work` once the keyboard has come to the next field and no button is held down: fields that are made anew in
/// between would take the press, or the keyboard, away with them.
export function whenHandRests(work) {
  let waiting = false;
  const run = () => {
    if (pressed) {
      resting.add(run);
      return;
    }
    waiting = false;
    work();
  };
  return () => {
    if (waiting) return;
    waiting = true;
    setTimeout(run);
  };
}

export const sentence = (text) => (text ? `${text.replace(/\.?$/, '.')} ` : '');

/// A table that scrolls by itself where it is too wide; the first cell of each row is its head. `below`: a sentence under
/// each row.
export function table(heads, rows, below = []) {
  return el('div', { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': heads.join(', ') }, el('table', {},
    el('thead', {}, el('tr', {}, heads.map((head) => el('th', { scope: 'col' }, head)))),
    el('tbody', {}, rows.map(([head, ...cells], i) => [
      el('tr', { class: below[i] ? 'said-below' : null }, el('th', { scope: 'row' }, head), cells.map((cell) => el('td', {}, typeof cell === 'number' ? String(cell) : cell))),
      below[i] ? el('tr', {}, el('td', { colspan: heads.length }, el('small', {}, below[i]))) : null]))));
}

/// A problem as a person reads it; its code in small type.
export function problemLine(problem) {
  const [what, ...place] = problem.what.split('\n');  // further lines point at the place in a faulty text
  return el('li', { class: 'problem' }, problem.where ? el('b', {}, problem.where.replace(/^\/.*\//, ''), ': ') : null,
    `${what}; ${problem.remedy}. `, el('small', {}, problem.code), place.length ? el('pre', {}, place.join('\n')) : null);
}
