// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>

#include "fairhole/base/problem.h"

namespace fairhole {

/// The first `most` problems and, where there are more, one of code kMoreProblems that counts the rest. For
/// whoever shows them: nobody reads a hundred thousand, and most follow from the first few.
Problems first_problems(const Problems& problems, std::size_t most = 100);

namespace codes {
inline constexpr Code kMoreProblems{182};  ///< more problems than are shown
}  // namespace codes

}  // namespace fairhole
