// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace fairhole::drawing {

/// The characters of a UTF-8 text, made safe for a line: bytes that are no UTF-8 become U+FFFD, control
/// characters and line ends become spaces.
std::vector<char32_t> clean_characters(std::string_view text);

/// The same as UTF-8.
std::string clean_text(std::string_view text);

/// Whether nothing of the text would be seen.
bool is_blank(std::string_view text);

/// Fixed decimals without trailing zeros, never "-0": 12.5, 3, 0.000001. Enough for marks on paper (1 nm).
std::string short_number(double value);

}  // namespace fairhole::drawing
