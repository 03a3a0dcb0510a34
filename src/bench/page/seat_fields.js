// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Where a face lies on its carrier: the fields, and what the job then says.
import { el } from './dom.js';
import { length } from './adder.js';

const kDirections = [['0', 'to the right, as the plate\'s own'], ['90', 'up'], ['180', 'to the left'], ['-90', 'down']];

export function seatFields(adder, job) {
  const inches = job?.units === 'in';
  for (const [key, value] of [['play_along', inches ? '1/8 in' : '3'], ['play_across', inches ? '1/8 in' : '3'], ['play_turn', '0.5']]) adder.typed[key] ??= value;
  const list = `${adder.prefix}-directions`;
  return [
    adder.choice('side', 'on the side', [['marked', 'that is marked out'], ['other', 'that is not']]),
    adder.text('x', 'its datum corner: x on the plate', '0', { says: 'Along the plate\'s long datum edge, from its datum corner.' }),
    adder.text('y', 'its datum corner: y on the plate', '0', { says: 'Away from the long datum edge.' }),
    adder.text('turn_deg', 'where its long datum edge points, degrees', '0: to the right, 90: up, -90: down', { list }),
    el('datalist', { id: list }, kDirections.map(([value, label]) => el('option', { value, label }))),
    adder.text('play_along', 'it may be moved along by', '3'), adder.text('play_across', 'it may be moved across by', '3'),
    adder.text('play_turn', 'it may be turned by, degrees', '0.5', { says: 'Either way. As far as the machine lets it go.' })];
}

export function seatOf(typed) {
  return { side: typed.side || 'marked', seat: { x: length(typed.x || '0'), y: length(typed.y || '0'), turn_deg: degrees(typed.turn_deg) },
    play: { along: length(typed.play_along || '0'), across: length(typed.play_across || '0'), turn_deg: degrees(typed.play_turn) } };
}

/// What is no number stays as it is, for the program to say so.
const degrees = (text) => length(text || '0');

/// Where problems of a seat are said.
export const kSeatKeys = { along: 'play_along', across: 'play_across' };
