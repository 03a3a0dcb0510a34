// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace fairhole::survey_detail {

/// One line of a text file, without its line end.
struct TextLine {
  int number = 0;  ///< from 1
  std::string_view text;
  bool ended = true;  ///< false for a last line without a line break
};

/// LF, CRLF and lone CR end a line. A byte order mark is left out.
std::vector<TextLine> split_lines(std::string_view text);

struct Fields {
  std::vector<std::string> fields;  ///< trimmed
  bool open_quote = false;          ///< a quoted field was not closed
};

/// Splits at `separator`. A field that begins with a double quote is quoted: it ends at the next lone quote,
/// and two quotes stand for one. Anywhere else a quote is an inch mark, taken as it stands.
Fields split_fields(std::string_view line, char separator);

std::string_view trim(std::string_view text);

/// Whether the bytes are well-formed UTF-8 without NUL.
bool is_utf8(std::string_view text);

}  // namespace fairhole::survey_detail
