// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "text.h"

#include <fmt/format.h>

#include <algorithm>

namespace fairhole::drawing {
namespace {

constexpr char32_t kReplacement = 0xFFFD;

struct Lead {
  int length;         ///< bytes of the whole sequence, 0 for no lead byte
  char32_t bits;      ///< what the lead byte carries
  char32_t smallest;  ///< below it the sequence is overlong
};

Lead read_lead(unsigned char byte) {
  if (byte < 0x80) return {1, byte, 0};
  if ((byte & 0xE0U) == 0xC0U) return {2, byte & 0x1FU, 0x80};
  if ((byte & 0xF0U) == 0xE0U) return {3, byte & 0x0FU, 0x800};
  if ((byte & 0xF8U) == 0xF0U) return {4, byte & 0x07U, 0x10000};
  return {0, 0, 0};
}

bool is_control(char32_t c) { return c < 0x20 || (c >= 0x7F && c < 0xA0) || c == 0x2028 || c == 0x2029; }

bool is_scalar(char32_t c) { return c <= 0x10FFFF && (c < 0xD800 || c > 0xDFFF) && (c & 0xFFFEU) != 0xFFFEU; }

/// Reads one character at `at` and moves on; a byte that starts none costs one byte.
char32_t take(std::string_view text, std::size_t& at) {
  const Lead lead = read_lead(static_cast<unsigned char>(text[at]));
  const auto length = static_cast<std::size_t>(lead.length);
  const std::size_t start = at++;
  if (length == 0 || start + length > text.size()) return kReplacement;
  char32_t value = lead.bits;
  for (std::size_t i = 1; i < length; ++i) {
    const auto byte = static_cast<unsigned char>(text[start + i]);
    if ((byte & 0xC0U) != 0x80U) return kReplacement;
    value = (value << 6U) | (byte & 0x3FU);
  }
  if (value < lead.smallest || !is_scalar(value)) return kReplacement;
  at = start + length;
  return value;
}

void append_utf8(std::string& out, char32_t c) {
  const auto tail = [&](unsigned shift) { out += static_cast<char>(0x80U | ((c >> shift) & 0x3FU)); };
  if (c < 0x80) {
    out += static_cast<char>(c);
  } else if (c < 0x800) {
    out += static_cast<char>(0xC0U | (c >> 6U));
    tail(0);
  } else if (c < 0x10000) {
    out += static_cast<char>(0xE0U | (c >> 12U));
    tail(6);
    tail(0);
  } else {
    out += static_cast<char>(0xF0U | (c >> 18U));
    tail(12);
    tail(6);
    tail(0);
  }
}

}  // namespace

std::vector<char32_t> clean_characters(std::string_view text) {
  std::vector<char32_t> characters;
  for (std::size_t at = 0; at < text.size();) {
    const char32_t c = take(text, at);
    characters.push_back(is_control(c) ? U' ' : c);
  }
  return characters;
}

std::string clean_text(std::string_view text) {
  std::string out;
  for (const char32_t c : clean_characters(text)) append_utf8(out, c);
  return out;
}

bool is_blank(std::string_view text) {
  const auto characters = clean_characters(text);
  return std::all_of(characters.begin(), characters.end(), [](char32_t c) { return c == U' '; });
}

std::string short_number(double value) {
  std::string text = fmt::format("{:.6f}", value);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

}  // namespace fairhole::drawing
