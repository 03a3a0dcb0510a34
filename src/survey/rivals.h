// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "reading_tests.h"

namespace fairhole::survey_detail {

/// A gross reading and those that may be the culprit in its stead: the largest w of gross errors need not
/// point at the right one. `beyond`: the readings beyond the critical value, the worst first; `r`:
/// redundancies.
std::vector<int> contenders_of(const ReadingTests& tests, const Solution& s, const std::vector<double>& r,
                               const std::vector<int>& beyond, int gross);

/// The readings that would be left out in any case, one after the other: what those before take off their w
/// leaves them beyond the critical value, and nothing is as likely in their stead.
std::vector<int> far_apart(const ReadingTests& tests, const Solution& s, const std::vector<double>& r,
                           const std::vector<int>& beyond);

}  // namespace fairhole::survey_detail
