// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Paper: every result to look at and take away; what the check bar measured on this printer.
import { getResultText, resultAddress } from './ask.js';
import { el, fill } from './dom.js';
import { dxfView } from './dxf_view.js';

const kPurpose = [
  [/-sheet\.pdf$/, 'drilling sheet'], [/-order\.pdf$/, 'work order'], [/^fasteners\.pdf$/, 'fastener schedule, turning list, buying list'],
  [/-template\.pdf$/, 'template at full size'], [/\.dxf$/, 'drawing for the drilling or cutting shop'],
  [/\.ngc$/, 'drill program'], [/^report\.html$/, 'report'], [/^holes\.csv$/, 'holes, for a spreadsheet'], [/^fasteners\.csv$/, 'fasteners, for a spreadsheet'], [/^turning-list\.csv$/, 'bolts to turn, for a spreadsheet'],
  [/^buying-list\.csv$/, 'what to buy, for a spreadsheet'], [/\.svg$/, 'a face as photographed'],
  [/\.pdf$/, 'sheet'], [/^plan\.json$/, 'the plan, for other programs'], [/\.csv$/, 'table']];
const rank = (name) => kPurpose.findIndex(([form]) => form.test(name));
const purpose = (name) => kPurpose.find(([form]) => form.test(name))?.[1] ?? '';
const kFrame = /\.html$/;
const kText = /\.(csv|json|ngc)$/;
const kPage = /-page-\d+\.svg$/;

export class PaperStation {
  constructor(store, fairing) {
    Object.assign(this, { store, fairing, shown: null });
    this.list = el('div', {});
    this.preview = el('div', { class: 'preview' });
    this.body = el('div', {}, this.list, this.preview);
  }

  words() { return ''; }

  draw() {
    const all = this.fairing.run?.files ?? [];
    this.pages = all.filter((name) => kPage.test(name));
    const files = all.filter((name) => name !== 'fairhole-results.txt' && !kPage.test(name)).sort((a, b) => rank(a) - rank(b));
    const key = JSON.stringify([files, this.fairing.stale(), this.store.job?.outputs]);
    if (key === this.key) return;
    this.key = key;
    fill(this.list, files.length ? [
      this.fairing.stale() ? el('p', { class: 'look-again' }, 'The job has changed since these were made: work it out again before you print.') : null,
      el('ul', { class: 'plain files' }, files.map((name) => el('li', {}, el('b', {}, name), ` ${purpose(name)} `,
        el('button', { type: 'button', 'aria-expanded': String(this.shown === name), onclick: () => this.#show(name), 'aria-label': `Look at ${name}` }, 'Look'),
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

  async #show(name) {
    this.shown = name;
    fill(this.preview, el('h3', {}, name), el('p', { role: 'status' }, 'Reading it ...'));
    const shown = await this.#view(name).catch((error) => el('p', { class: 'wrong' }, error.problems?.[0]?.what ?? String(error)));
    if (this.shown !== name) return;
    fill(this.preview, el('h3', {}, name), shown, el('div', { class: 'line' },
      el('a', { class: 'button', href: resultAddress(name), download: name }, 'Take away'),
      /\.(pdf|html)$/.test(name) ? el('a', { class: 'button', href: resultAddress(name), target: '_blank', rel: 'noopener' }, 'Open by itself, to print') : null));
    this.preview.scrollIntoView({ block: 'start' });
  }

  /// Pages are pictures of the program's own making, so that every browser shows them; what is printed is the PDF.
  async #view(name) {
    const pages = this.pages.filter((page) => page.replace(kPage, '.pdf') === name);
    if (pages.length) {
      const order = (page) => Number(/(\d+)\.svg$/.exec(page)[1]);
      return el('div', { class: 'pages' }, pages.sort((a, b) => order(a) - order(b)).map((page, i) => el('figure', {},
        el('img', { src: resultAddress(page), alt: `${name}, page ${i + 1}`, loading: 'lazy' }), el('figcaption', {}, `page ${i + 1} of ${pages.length}`))));
    }
    if (/\.svg$/.test(name)) return el('img', { src: resultAddress(name), alt: name, class: 'page' });
    if (kFrame.test(name)) return el('iframe', { src: resultAddress(name), title: name });
    const text = await getResultText(name);
    if (/\.dxf$/.test(name)) return dxfView(text, name);
    if (kText.test(name)) return el('pre', { class: 'file', tabindex: 0, role: 'region', 'aria-label': name }, text);
    return el('iframe', { src: resultAddress(name), title: name });
  }
}
