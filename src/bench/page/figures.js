// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Figures as they are read on the page.
export const mm = (value, digits = 1) => (value === null || value === undefined ? '-' : value.toFixed(digits).replace(/^-(0\.?0*)$/, '$1'));
export const inHundred = (odds) => (odds === null ? '-' : odds >= 0.995 ? 'over 99 in 100' : odds < 0.005 ? 'under 1 in 100' : `${Math.round(100 * odds)} in 100`);
