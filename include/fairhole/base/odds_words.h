// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

/// How odds are said, everywhere alike.
namespace fairhole {

/// "97 in 100"; "over 99 in 100" and "under 1 in 100" at the ends: certainty is never claimed.
std::string odds_words(double odds);

/// The same as a figure for a table whose head says "odds in 100": "97", "over 99", "under 1".
std::string odds_figure(double odds);

}  // namespace fairhole
