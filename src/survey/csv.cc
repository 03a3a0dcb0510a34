// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "csv.h"

#include <algorithm>

namespace fairhole::survey_detail {

std::string_view trim(std::string_view text) {
  constexpr std::string_view kBlank = " \t\r\n";
  const auto first = text.find_first_not_of(kBlank);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(kBlank) - first + 1);
}

std::vector<TextLine> split_lines(std::string_view text) {
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  std::vector<TextLine> lines;
  int number = 0;
  while (!text.empty()) {
    const auto end = text.find_first_of("\r\n");
    if (end == std::string_view::npos) {
      lines.push_back({++number, text, false});
      break;
    }
    lines.push_back({++number, text.substr(0, end), true});
    text.remove_prefix(end + (text.substr(end).starts_with("\r\n") ? 2 : 1));
  }
  return lines;
}

Fields split_fields(std::string_view line, char separator) {
  Fields out;
  std::size_t at = 0;
  while (true) {
    while (at < line.size() && (line[at] == ' ' || line[at] == '\t')) ++at;
    if (at < line.size() && line[at] == '"') {
      std::string field;
      bool closed = false;
      for (++at; at < line.size(); ++at) {
        if (line[at] != '"') {
          field += line[at];
        } else if (at + 1 < line.size() && line[at + 1] == '"') {
          field += line[at++];
        } else {
          closed = true;
          ++at;
          break;
        }
      }
      out.open_quote = out.open_quote || !closed;
      const auto next = std::min(line.find(separator, at), line.size());
      out.open_quote = out.open_quote || !trim(line.substr(at, next - at)).empty();
      out.fields.emplace_back(trim(field));
      at = next;
    } else {
      const auto next = std::min(line.find(separator, at), line.size());
      out.fields.emplace_back(trim(line.substr(at, next - at)));
      at = next;
    }
    if (at >= line.size()) return out;
    ++at;  // over the separator
  }
}

bool is_utf8(std::string_view text) {
  for (std::size_t i = 0; i < text.size();) {
    const auto lead = static_cast<unsigned char>(text[i]);
    if (lead == 0) return false;
    std::size_t more = 0;
    if (lead >= 0xF0U && lead <= 0xF4U) {
      more = 3;
    } else if (lead >= 0xE0U && lead < 0xF0U) {
      more = 2;
    } else if (lead >= 0xC2U && lead < 0xE0U) {
      more = 1;
    } else if (lead >= 0x80U) {
      return false;
    }
    if (i + more >= text.size()) return false;
    for (std::size_t k = 1; k <= more; ++k) {
      if ((static_cast<unsigned char>(text[i + k]) & 0xC0U) != 0x80U) return false;
    }
    i += more + 1;
  }
  return true;
}

}  // namespace fairhole::survey_detail
