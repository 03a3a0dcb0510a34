// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "fairhole/base/result.h"

namespace fairhole::job {

inline constexpr std::size_t kMostKeys = 2000;        ///< of an object: more than any machine has parts
inline constexpr std::size_t kMostEntries = 100'000;  ///< of a list

/// JSON from text (UTF-8, with or without a byte order mark), keys in their order. Problems: kJobNotJson with
/// line and column, kJobTooDeep (beyond 40 levels), kJobTooWide (beyond kMostKeys in one object or
/// kMostEntries in one list), kJobKeyTwice (each).
Result<nlohmann::ordered_json> parse_json(std::string_view text, const std::string& file);

}  // namespace fairhole::job
