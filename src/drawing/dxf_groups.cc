// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "dxf_groups.h"

#include <fmt/format.h>

#include <array>
#include <charconv>

#include "text.h"

namespace fairhole::drawing {
namespace {

/// Signs that have a code of their own since the first versions, so that old machines show them too.
const char* sign_code(char32_t c) {
  switch (c) {
    case 0x00D8:
    case 0x2300:
      return "%%c";
    case 0x00B0:
      return "%%d";
    case 0x00B1:
      return "%%p";
    default:
      return nullptr;
  }
}

}  // namespace

std::string exact_number(double value) {
  if (value == 0.0) return "0.0";  // also for -0
  std::array<char, 512> buffer{};  // the longest double in fixed notation has 342 characters
  const auto [end, error] =
      std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, std::chars_format::fixed);
  std::string text(buffer.data(), end);
  if (text.find('.') == std::string::npos) text += ".0";
  return text;
}

std::string dxf_text(std::string_view text) {
  std::string out;
  const auto characters = clean_characters(text);
  for (std::size_t i = 0; i < characters.size(); ++i) {
    const char32_t c = characters[i];
    if (const char* code = sign_code(c)) {
      out += code;
    } else if (c == U'%' && i > 0 && characters[i - 1] == U'%') {
      out += " %";  // the pair would start a code, and few readers know the code for a single per cent sign
    } else if (c == U'^') {
      out += "^ ";  // a caret; alone it would make a control character of the next letter
    } else if (c == U'\\' || (c > 0x7E && c <= 0xFFFF)) {
      out += fmt::format("\\U+{:04X}", static_cast<unsigned>(c));
    } else if (c > 0xFFFF) {
      out += "\\U+FFFD";  // the code has four digits only
    } else {
      out += static_cast<char>(c);
    }
  }
  return out;
}

void DxfGroups::text(int code, std::string_view value) { out_ += fmt::format("{:>3}\n{}\n", code, value); }
void DxfGroups::integer(int code, int value) { out_ += fmt::format("{:>3}\n{}\n", code, value); }
void DxfGroups::real(int code, double value) { text(code, exact_number(value)); }

void DxfGroups::point(int code, const Eigen::Vector2d& xy) {
  real(code, xy.x());
  real(code + 10, xy.y());
  real(code + 20, 0.0);
}

std::string DxfGroups::new_handle() { return fmt::format("{:X}", next_handle_++); }

void DxfGroups::object(std::string_view type, const std::string& handle, const std::string& owner) {
  text(0, type);
  text(5, handle);
  text(330, owner);
}

void DxfGroups::subclasses(std::initializer_list<std::string_view> names) {
  if (r12()) return;
  for (const std::string_view name : names) text(100, name);
}

}  // namespace fairhole::drawing
