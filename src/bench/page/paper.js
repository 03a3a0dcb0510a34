// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Paper: every result to look at and take away; what the check bar measured on this printer.
import { resultAddress } from './ask.js';
import { el, fill } from './dom.js';

const kPurpose = [
  [/-sheet\.pdf$/, 'drilling sheet'], [/-order\.pdf$/, 'work order'], [/^fasteners\.pdf$/, 'fastener schedule, turning list, buying list'],
  [/-template\.pdf$/, 'template at full size'], [/\.dxf$/, 'drawing for the drilling or cutting shop'],
  [/\.ngc$/, 'drill program'], [/^report\.html$/, 'report'], [/^holes\.csv$/, 'holes, for a spreadsheet'], [/^fasteners\.csv$/, 'fasteners, for a spreadsheet'], [/^turning-list\.csv$/, 'bolts to turn, for a spreadsheet'],
  [/^buying-list\.csv$/, 'what to buy, for a spreadsheet'], [/\.svg$/, 'a face as photographed'],
  [/\.pdf$/, 'sheet'], [/^plan\.json$/, 'the plan, for other programs'], [/\.csv$/, 'table']];
const purpose = (name) => kPurpose.find(([form]) => form.test(name))?.[1] ?? '';
const kShown = /\.(pdf|html|csv|json|svg|ngc)$/;

export class PaperStation {
  constructor(store, fairing) {
    Object.assign(this, { store, fairing, shown: null });
    this.list = el('div', {});
    this.preview = el('div', { class: 'preview' });
    this.body = el('div', {}, this.list, this.preview);
  }

  words() { return ''; }

  draw() {
    const files = (this.fairing.run?.files ?? []).filter((name) => name !== 'fairhole-results.txt');
    const key = JSON.stringify([files, this.fairing.stale(), this.store.job?.outputs]);
    if (key === this.key) return;
    this.key = key;
    fill(this.list, files.length ? [
      this.fairing.stale() ? el('p', { class: 'look-again' }, 'The job has changed since these were made: work it out again before you print.') : null,
      el('ul', { class: 'plain files' }, files.map((name) => el('li', {}, el('b', {}, name), ` ${purpose(name)} `,
        kShown.test(name) ? el('button', { type: 'button', onclick: () => this.#show(name), 'aria-label': `Look at ${name}` }, 'Look') : null,
        el('a', { class: 'button', href: resultAddress(name), download: name, 'aria-label': `Take away ${name}` }, 'Take away')))),
      el('fieldset', {}, el('legend', {}, 'What the check bars, 100 mm long, measured on your first print'), this.#bar('x'), this.#bar('y'))]
      : el('p', {}, 'Work the job out first: drawings, templates and lists then lie here.'));
  }

  #bar(axis) {
    const key = `template_check_${axis}`;
    const id = `bar-${axis}`;
    return el('div', { class: 'field' }, el('label', { for: id }, `along ${axis}, mm`), el('input', { id, inputmode: 'decimal', autocomplete: 'off', placeholder: '100',
      value: this.store.job?.outputs?.[key] ?? '', onchange: (e) => this.store.saveJob(`check bar along ${axis}`, (job) => {
        job.outputs ??= {};
        if (e.target.value.trim()) job.outputs[key] = Number(e.target.value) || e.target.value;
        else delete job.outputs[key];
      }).then(() => this.fairing.draw()) }));
  }

  #show(name) {
    this.shown = name;
    fill(this.preview, el('h3', {}, name), el('iframe', { src: resultAddress(name), title: name }));
  }
}
