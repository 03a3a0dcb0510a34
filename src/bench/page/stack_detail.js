// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// One stack: enlarged, why it is treated so, what else could be done, and deciding it oneself.
import { el, sentence, table } from './dom.js';
import { inHundred, mm } from './figures.js';
import { moon } from './moon.js';

const lengthFrom = (text) => (/^[\d.]+$/.test(text) ? Number(text) : text);

/// `by` holds what a hand did: {shift(layer), needs} with `needs` the diameter that would clean up, where that is more than
/// planned, else null; and `draft`, what was typed of a decision that is not pinned yet.
export function stackDetail(stack, store, methods, by, done) {
  const decide = (method, finish) => store.saveJob(`${stack.id}: decided by hand`, (job) => {
    const own = job.hole_groups.find((one) => one.name === stack.group);
    const decided = { ...(method ? { method } : {}), ...(finish ? { finish } : {}) };
    own.holes = { ...(own.holes ?? {}), [stack.id]: decided };
    if (Object.keys(decided).length === 0) delete own.holes[stack.id];
    if (Object.keys(own.holes).length === 0) delete own.holes;
  }).then(() => {
    for (const key of Object.keys(by.draft)) delete by.draft[key];
    done();
  });
  const inJobUnits = (value) => (store.job.units === 'in' ? `${value.toFixed(4)} mm` : Number(value.toFixed(4)));
  return [el('h3', {}, `${stack.id} in ${stack.plate}`), moon(stack, { shift: by.shift }),
    el('p', {}, sentence(stack.reason), sentence(stack.ruled_out), `Odds ${inHundred(stack.odds)}.`),
    by.needs ? el('p', { class: 'look-again' }, `With the part moved so, the old holes ask for ${mm(by.needs, 2)} mm with their doubt; planned are ${mm(stack.finish_diameter, 2)} mm.`) : null,
    el('ul', { class: 'plain' }, stack.layers.filter((layer) => !layer.new_plate).map((layer, i) => {
      const [dx, dy] = by.shift(layer);
      return el('li', {}, `${String.fromCharCode(65 + i)}: ${layer.part}, ${layer.face}, hole ${layer.hole ?? 'none'}: ${mm(layer.found_diameter, 2)} mm, ${layer.misfit ? mm(Math.hypot(layer.misfit[0] + dx, layer.misfit[1] + dy), 2) : '-'} mm off; ${layer.action}.`);
    })),
    stack.ways.length ? table(['way', 'size', 'cost', 'odds', 'choose'], stack.ways.map((way) => [
      [way.method, way.taken ? el('small', {}, ' taken') : null, way.allowed ? null : el('small', {}, ' does not serve')], mm(way.finish_diameter, 2), mm(way.cost), way.allowed ? inHundred(way.odds_lower_bound) : '-',
      way.allowed && !way.taken ? el('button', { type: 'button', class: 'quiet', 'aria-label': `Pin this way: ${way.method} at ${mm(way.finish_diameter, 2)} mm`,
        onclick: () => decide(way.method, way.method === 'open-out' ? inJobUnits(way.finish_diameter) : undefined) }, 'Pin this way') : '']), stack.ways.map((way) => way.why)) : null,
    decision(stack, store, methods, by.draft, decide)];
}

function decision(stack, store, methods, draft, decide) {
  const pinned = store.job?.hole_groups.find((one) => one.name === stack.group)?.holes?.[stack.id] ?? {};
  const method = el('select', { id: 'pin-method', onchange: (e) => { draft.method = e.target.value; } }, el('option', { value: '' }, 'as worked out'), methods.map((word) => el('option', { value: word }, word)));
  method.value = draft.method ?? pinned.method ?? '';
  const finish = el('input', { id: 'pin-finish', value: draft.finish ?? pinned.finish ?? '', oninput: (e) => { draft.finish = e.target.value; }, autocomplete: 'off', placeholder: `${mm(stack.finish_diameter, 2)} worked out` });
  return el('fieldset', {}, el('legend', {}, 'Decide it yourself'),
    el('div', { class: 'field' }, el('label', { for: 'pin-method' }, 'treatment'), method),
    el('div', { class: 'field' }, el('label', { for: 'pin-finish' }, 'finish diameter'), finish),
    el('div', { class: 'line' }, el('button', { type: 'button', onclick: () => decide(method.value, finish.value.trim() ? lengthFrom(finish.value.trim()) : undefined) }, 'Pin this'),
    pinned.method || pinned.finish ? el('button', { type: 'button', class: 'quiet', onclick: () => decide('', undefined) }, 'Leave it to the program') : null));
}
