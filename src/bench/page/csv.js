// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// A readings file as lines: what nobody touches stays as it was, byte for byte.

function fields(line, separator) {
  const all = [''];
  let quoted = false;
  for (let i = 0; i < line.length; i += 1) {
    const c = line[i];
    if (c === '"' && quoted && line[i + 1] === '"') {
      all[all.length - 1] += '"';
      i += 1;
    } else if (c === '"' && (quoted || all.at(-1) === '')) quoted = !quoted;
    else if (c === separator && !quoted) all.push('');
    else all[all.length - 1] += c;
  }
  return all.map((field) => field.trim());
}

function quoted(field, separator) {
  const asks = field.includes(separator) || field.includes('"') && field.startsWith('"') || field.includes('\n');
  return asks ? `"${field.replaceAll('"', '""')}"` : field;
}

export const kColumns = ['kind', 'from', 'to', 'reading', 'sigma', 'note'];

export class ReadingsText {
  /// Rows as {line, kind, from, to, reading, sigma, note}: `line` is the index among the file's lines.
  constructor(text) {
    this.lines = text.replace(/\r\n?/g, '\n').replace(/\n$/, '').split('\n');
    this.head = this.lines.findIndex((line) => line.trim() && !line.trim().startsWith('#') && !line.trim().startsWith('"#'));
    if (this.head < 0) {
      this.lines = [...this.lines.filter((line) => line.trim()), kColumns.join(',')];
      this.head = this.lines.length - 1;
    }
    this.separator = this.lines[this.head].includes(';') ? ';' : ',';
    this.columns = fields(this.lines[this.head], this.separator);
  }

  rows() {
    const rows = [];
    this.lines.forEach((line, index) => {
      const bare = line.trim();
      if (index <= this.head || !bare || bare.startsWith('#') || bare.startsWith('"#')) return;
      const given = fields(line, this.separator);
      const row = { line: index };
      for (const name of kColumns) row[name] = given[this.columns.indexOf(name)] ?? '';
      rows.push(row);
    });
    return rows;
  }

  #line(row, old = []) {
    return this.columns.map((name, i) => quoted(kColumns.includes(name) ? row[name] ?? '' : old[i] ?? '', this.separator))
      .join(this.separator);
  }

  set(row, name, value) {
    const old = fields(this.lines[row.line], this.separator);
    this.lines[row.line] = this.#line({ ...row, [name]: value }, old);
  }
  /// What a line "# name: value" above the rows says; undefined where there is none.
  header(name) {
    const found = this.lines.slice(0, this.head).map((line) => this.#header(line)).find((line) => line?.name === name);
    return found?.value;
  }
  #header(line) {
    const found = /^"?#\s*([a-z]+)\s*:\s*([^",;]*)/.exec(line.trim());
    return found ? { name: found[1], value: found[2].trim() } : null;
  }
  setHeader(name, value) {
    const at = this.lines.findIndex((line, i) => i < this.head && this.#header(line)?.name === name);
    if (at >= 0) this.lines.splice(at, 1, ...(value ? [`# ${name}: ${value}`] : []));
    else if (value) this.lines.splice(this.head, 0, `# ${name}: ${value}`);
    this.head = this.lines.findIndex((line) => line.trim() && !line.trim().startsWith('#') && !line.trim().startsWith('"#'));
  }
  add(row) { this.lines.push(this.#line(row)); }
  remove(row) { this.lines.splice(row.line, 1); }
  toString() { return `${this.lines.join('\n')}\n`; }
}

/// Kinds of readings, as the program tells them: {kind, to}.
export const kinds = [];
const takesTo = (kind) => ['hole', 'set-up', 'line'].includes(kinds.find((one) => one.kind === kind)?.to);

/// "along A1 38", "centres A1 A2 76.5", "dia A1 0 20.94", "dia A1 20.9": a reading in one line. Tabs, commas or
/// semicolons as from a spreadsheet separate all six columns. An object {row} or {wrong}.
export function readingFromLine(line) {
  const cells = line.includes('\t') ? line.split('\t') : line.includes(';') ? line.split(';') : /^[\w-]+,/.test(line) ? fields(line, ',') : null;
  const given = cells ? cells.map((cell) => cell.trim()) : line.trim().split(/\s+/);
  const kind = (given[0] ?? '').toLowerCase();
  if (!kinds.some((one) => one.kind === kind)) return { wrong: `"${given[0] ?? ''}" is no kind of reading; begin with ${kinds.slice(0, 3).map((one) => one.kind).join(', ')}, centres, dia ...` };
  if (cells) return { row: Object.fromEntries(kColumns.map((name, i) => [name, i === 0 ? kind : given[i] ?? ''])) };
  const [, from, ...rest] = given;
  if (!from || rest.length === 0) return { wrong: `write ${kind}, the hole and the reading: ${kind} A1 ${takesTo(kind) ? 'A2 76.5' : '38'}` };
  const toGiven = takesTo(kind) || kind === 'dia' && rest.length > 1 && !/^(mm|in|\d+\/\d+)/.test(rest[1]);
  const to = toGiven ? rest.shift() : '';
  if (rest.length === 0) return { wrong: `the reading is missing: ${kind} ${from} ${to} ...` };
  return { row: { kind, from, to, reading: rest.join(' '), sigma: '', note: '' } };
}
