// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// The job as text: short lists on one line, as a person would write them.

const plain = (value) => value === null || typeof value !== 'object';

function short(value) {
  if (plain(value)) return JSON.stringify(value);
  if (Array.isArray(value)) return `[${value.map(short).join(', ')}]`;
  return `{${Object.entries(value).map(([k, v]) => `${JSON.stringify(k)}: ${short(v)}`).join(', ')}}`;
}

const kLineLength = 110;

export function jobText(value, indent = '') {
  if (plain(value)) return JSON.stringify(value);
  const line = short(value);
  const deep = Object.values(value).some((v) => !plain(v) && Object.values(v).some((w) => !plain(w)));
  if (indent && !deep && indent.length + line.length <= kLineLength) return line;
  const inner = `${indent}  `;
  const body = Array.isArray(value)
    ? value.map((v) => inner + jobText(v, inner))
    : Object.entries(value).map(([k, v]) => `${inner}${JSON.stringify(k)}: ${jobText(v, inner)}`);
  const [open, close] = Array.isArray(value) ? '[]' : '{}';
  return body.length ? `${open}\n${body.join(',\n')}\n${indent}${close}` : open + close;
}
