// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>

#include "fairhole/base/problem.h"

/// What parse_readings() takes.
namespace fairhole {

/// More rows than any face has: surely another file. parse_readings() reads no further.
inline constexpr std::size_t kMostReadings = 100'000;

namespace codes {
inline constexpr Code kReadingsTooMany{184};  ///< more than kMostReadings rows
}  // namespace codes

}  // namespace fairhole
