// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Fields for any part of a job, made from the schema that describes the job file.
import { el, problemLine } from './dom.js';

const kShown = { hole_groups: 'hole groups', turn_deg: 'turn, degrees', confidence: 'confidence, 0 to 1' };
export const wordsFor = (key) => kShown[key] ?? String(key).replaceAll('_', ' ').replace(/ deg$/, ', degrees');

/// What names one thing in a list: its name, id, prefix, or what it joins.
export function nameOf(value, index) {
  if (value === null || typeof value !== 'object') return String(value);
  for (const key of ['name', 'id', 'hole', 'row', 'grid', 'staggered', 'circle']) if (value[key]) return String(value[key]);
  return value.plates?.join(' and ') ?? `number ${index + 1}`;
}

const isLength = (node, defs) => {
  const { $ref } = node;
  if ($ref) return /length|play|angle/.test($ref) && !$ref.includes('outline') || isLength(defs[$ref.split('/').pop()] ?? {}, defs);
  return false;
};

/// "8 in" stays text, "12.5" becomes a number, "-3, 5" a list of two.
function lengthFrom(text) {
  const one = (part) => (/^[-+]?(\d+\.?\d*|\.\d+)$/.test(part) ? Number(part) : part);
  const parts = text.split(/[,;]/).map((part) => part.trim()).filter(Boolean);
  return parts.length > 1 ? parts.map(one) : one(text.trim());
}
const textOf = (value) => (Array.isArray(value) ? value.join(', ') : value === undefined ? '' : String(value));

export class Form {
  /// `change(path, value)` is told of every change; an undefined value takes the key away. `typing(path, value)` is
  /// told of every keystroke meanwhile.
  constructor(schema, change, typing) {
    this.defs = schema.$defs;
    this.schema = schema;
    this.change = change;
    this.typing = typing;
    this.open = new Set();  // what the user has unfolded
    this.problems = [];
  }

  resolve(node) {
    const { $ref, ...own } = node;
    return $ref ? { ...this.resolve(this.defs[$ref.split('/').pop()]), ...own } : node;
  }

  /// Where the program says it found something, as it writes it: parts[2].faces[0].thickness.
  static where(path) {
    return path.map((key, i) => (typeof key === 'number' ? `[${key}]` : key.name !== undefined ? `["${key.name}"]` : i ? `.${key}` : key)).join('');
  }

  #problemsAt(where) { return this.problems.filter((problem) => problem.where.replace(/^[^:]*: /, '') === where); }

  #problemsBelow(where) {
    return this.problems.some((problem) => {
      const at = problem.where.replace(/^[^:]*: /, '');
      return at === where || at.startsWith(`${where}.`) || at.startsWith(`${where}[`);
    });
  }

  field(node, value, path, label, required = false) {
    const spec = this.resolve(node);
    const where = Form.where(path);
    if (spec.const !== undefined) return null;
    if (spec.type === 'object' || spec.oneOf) return this.#group(spec, value, path, label, required);
    if (spec.type === 'array' && !this.#isLine(spec)) return this.#list(spec, value, path, label);
    return this.#line(node, spec, value, path, label, required, where);
  }

  /// A list short enough to be typed: of texts, lengths, or points.
  #isLine(spec) {
    const items = this.resolve(spec.items ?? {});
    return items.type === 'string' || items.anyOf !== undefined || items.type === 'number' || items.type === 'array';
  }

  #line(node, spec, value, path, label, required, where) {
    const id = `field-${where}`;
    const problems = this.#problemsAt(where);
    const described = `${id}-says`;
    const common = { id, 'aria-describedby': described, 'aria-invalid': problems.length > 0 };
    const points = spec.type === 'array' && this.resolve(spec.items).type === 'array';
    const put = (given) => this.change(path, given);
    const corners = (e) => e.target.value.split('\n').filter((line) => line.trim()).map((line) => [lengthFrom(line)].flat());
    let input;
    if (spec.enum) {
      input = el('select', { ...common, value: value ?? '', onchange: (e) => put(e.target.value || undefined) },
        required && value !== undefined ? null : el('option', { value: '' }, spec.default === undefined ? '-' : `${spec.default} (if nothing is said)`),
        spec.enum.map((word) => el('option', { value: word }, String(word))));
      input.value = value ?? '';
    } else if (spec.type === 'boolean') {
      input = el('input', { ...common, type: 'checkbox', checked: value ?? spec.default ?? false, onchange: (e) => put(e.target.checked) });
    } else if (points) {
      input = el('textarea', { ...common, rows: Math.max(3, (value ?? []).length), value: (value ?? []).map((p) => p.join(', ')).join('\n'),
        oninput: (e) => this.typing(path, corners(e)), onchange: (e) => put(corners(e)) });
    } else if (spec.type === 'array') {
      const lengths = this.resolve(spec.items).type !== 'string';
      input = el('input', { ...common, value: textOf(value), autocomplete: 'off',
        onchange: (e) => put(e.target.value.split(',').map((part) => part.trim()).filter(Boolean).map((part) => (lengths ? lengthFrom(part) : part))) });
    } else {
      const given = (e) => (e.target.value.trim() === '' && !required ? undefined : typed ? lengthFrom(e.target.value) : e.target.value);
      const typed = spec.type === 'number' || spec.type === 'integer' || isLength(node, this.defs) || spec.anyOf;
      input = el('input', { ...common, value: textOf(value), autocomplete: 'off', placeholder: spec.default === undefined ? null : `${spec.default} if nothing is said`,
        oninput: (e) => this.typing(path, given(e)), onchange: (e) => put(given(e)) });
    }
    return el('div', { class: spec.type === 'boolean' ? 'field tick' : 'field', 'data-where': where },
      el('label', { for: id }, label, required ? null : el('small', {}, ' if needed')), input,
      el('div', { id: described, class: 'says' }, spec.description ?? '', points ? ' One corner to a line: x, y.' : spec.type === 'array' ? ' Separated by commas.' : ''),
      problems.length ? el('ul', { class: 'problems' }, problems.map(problemLine)) : null);
  }

  /// Says beside the fields below `root`, as they stand, what is wrong with them now.
  mark(root) {
    for (const field of root.querySelectorAll('.field[data-where]')) {
      const problems = this.#problemsAt(field.dataset.where);
      field.querySelector('input, select, textarea').setAttribute('aria-invalid', String(problems.length > 0));
      field.querySelector(':scope > .problems')?.remove();
      if (problems.length) field.append(el('ul', { class: 'problems' }, problems.map(problemLine)));
    }
  }

  #fold(where, label, ...inside) {
    const asks = this.#problemsBelow(where);
    const details = el('details', { open: asks || this.open.has(where), class: asks ? 'asks' : null },
      el('summary', { id: `fold-${where}` }, label, asks ? el('b', {}, ' - look again') : null), ...inside);
    details.addEventListener('toggle', () => { if (details.open) this.open.add(where); else this.open.delete(where); });
    return details;
  }

  #list(spec, value, path, label) {
    const where = Form.where(path);
    const all = value ?? [];
    const singular = label.replace(/s$/, '');
    return this.#fold(where, `${label}: ${all.length ? all.map(nameOf).join(', ') : 'none'}`,
      all.map((one, i) => this.#fold(`${where}[${i}]`, nameOf(one, i),
        this.field(spec.items, one, [...path, i], nameOf(one, i), true),
        el('button', { type: 'button', onclick: () => this.change(path, all.filter((_, k) => k !== i)) }, `Take ${nameOf(one, i)} away`))),
      el('button', { type: 'button', id: `add-${where}`, onclick: () => {
        this.open.add(where).add(`${where}[${all.length}]`);
        this.change(path, [...all, this.#blank(spec.items)]);
      } }, `Add ${/^[aeiou]/.test(singular) ? 'an' : 'a'} ${singular}`));
  }

  /// The least that must be there, empty.
  #blank(node) {
    const spec = this.resolve(node);
    const first = spec.oneOf ? this.resolve(spec.oneOf[0]) : spec;
    if (first.type === 'array') return [];
    if (first.type !== 'object') return first.enum?.[0] ?? '';
    return Object.fromEntries((first.required ?? []).map((key) => [key, this.#blank(first.properties[key])]));
  }

  #variant(spec, value) {
    if (!spec.oneOf) return spec;
    const all = spec.oneOf.map((one) => this.resolve(one));
    return all.find((one) => (one.type === 'array' ? Array.isArray(value) : one.required?.[0] in (value ?? {}))) ?? all[0];
  }

  #group(spec, value, path, label, required) {
    const where = Form.where(path);
    const chosen = this.#variant(spec, value);
    const problems = this.#problemsAt(where);
    const says = problems.length ? el('ul', { class: 'problems' }, problems.map(problemLine)) : null;
    const kinds = spec.oneOf ? this.#kinds(spec, chosen, path, where) : null;
    if (chosen.type === 'array') return el('div', {}, kinds, says, this.#list(chosen, value, path, label));
    if (value === undefined && !required) {
      return el('button', { type: 'button', class: 'quiet', id: `add-${where}`, onclick: () => {
        this.open.add(where);
        this.change(path, this.#blank(chosen));
      } }, `Say more: ${label}`);
    }
    const known = Object.entries(chosen.properties ?? {}).filter(([key]) => key !== 'note');
    const wanted = chosen.required ?? [];
    const inside = [kinds, says,
      known.map(([key, node]) => this.field(node, value?.[key], [...path, key], wordsFor(key), wanted.includes(key))),
      chosen.additionalProperties ? this.#named(chosen, value ?? {}, path) : null];
    return typeof path.at(-1) === 'number' || path.length === 0 ? el('div', {}, inside) : this.#fold(where, label, inside);
  }

  #kinds(spec, chosen, path, where) {
    const id = `kind-${where}`;
    const all = spec.oneOf.map((one) => this.resolve(one));
    const select = el('select', { id, onchange: (e) => this.change(path, this.#blank(all[Number(e.target.value)])) },
      all.map((one, i) => el('option', { value: i }, one.description)));
    select.value = String(all.indexOf(chosen));
    return el('div', { class: 'field' }, el('label', { for: id }, 'what it is'), select);
  }

  /// An object whose keys the user chooses: fasteners, patterns, decisions by hole.
  #named(spec, value, path) {
    const where = Form.where(path);
    const names = Object.keys(value).filter((key) => key !== 'note' && !(key in (spec.properties ?? {})));
    const fresh = el('input', { id: `name-${where}`, placeholder: 'a new name', autocomplete: 'off', 'aria-label': `new name in ${where}` });
    const add = () => {
      const name = fresh.value.trim();
      if (!name || name in value) return;
      this.open.add(where).add(`${where}["${name}"]`);
      this.change([...path, { name }], this.#blank(spec.additionalProperties));
    };
    fresh.addEventListener('keydown', (e) => { if (e.key === 'Enter') add(); });
    return el('div', {}, names.map((name) => el('div', { class: 'named' },
      this.field(spec.additionalProperties, value[name], [...path, { name }], name, true),
      el('button', { type: 'button', onclick: () => this.change([...path, { name }], undefined) }, `Take ${name} away`))),
    el('div', { class: 'line' }, fresh, el('button', { type: 'button', onclick: add }, 'Add')));
  }
}

/// The job with `value` at `path`, in which {name} stands for a name the user chose; undefined takes it away.
export function put(job, given, value) {
  const path = given.map((key) => key.name ?? key);
  let at = job;
  for (const [i, key] of path.slice(0, -1).entries()) {
    at[key] ??= typeof path[i + 1] === 'number' ? [] : {};
    at = at[key];
  }
  const last = path.at(-1);
  if (value !== undefined) at[last] = value;
  else if (Array.isArray(at)) at.splice(last, 1);
  else delete at[last];
}
