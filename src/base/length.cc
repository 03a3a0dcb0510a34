// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/base/length.h"

#include <fmt/format.h>

#include <array>
#include <cassert>
#include <charconv>
#include <cmath>
#include <numeric>
#include <optional>
#include <utility>

namespace fairhole {
namespace {

constexpr double kMostSensibleMm = 100'000.0;
constexpr double kInchesPerFoot = 12.0;
constexpr double kLeastShownRemainderIn = 0.0005;

enum class Mark { kNone, kMm, kInch, kFoot };

// Longest first where one begins another ('' before ').
constexpr std::array<std::pair<std::string_view, Mark>, 7> kSymbols{{{"''", Mark::kInch},
                                                                     {"\"", Mark::kInch},
                                                                     {"\u2033", Mark::kInch},
                                                                     {"\u201D", Mark::kInch},
                                                                     {"'", Mark::kFoot},
                                                                     {"\u2032", Mark::kFoot},
                                                                     {"\u2019", Mark::kFoot}}};
constexpr std::array<std::pair<std::string_view, Mark>, 7> kWords{{{"mm", Mark::kMm},
                                                                   {"in", Mark::kInch},
                                                                   {"inch", Mark::kInch},
                                                                   {"inches", Mark::kInch},
                                                                   {"ft", Mark::kFoot},
                                                                   {"foot", Mark::kFoot},
                                                                   {"feet", Mark::kFoot}}};

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }
bool is_space(char c) { return c == ' ' || c == '\t'; }

struct Number {
  double value = 0.0;
  bool whole = false;     // digits alone
  bool fraction = false;  // 3/16 or 4 3/16
  std::size_t at = 0;     // where it begins
};

/// The text, a line break, and a caret under the character that begins at byte `at`.
std::string excerpt(std::string_view text, std::size_t at) {
  constexpr std::size_t kMostShown = 60;  // bytes before the place, and after it
  if (at > kMostShown) {
    text.remove_prefix(at - kMostShown);
    at = kMostShown;
  }
  text = text.substr(0, at + kMostShown);
  std::string line;
  std::string pad;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    const bool begins_character = (byte & 0xC0U) != 0x80U;  // UTF-8
    line += byte < 0x20U ? ' ' : text[i];
    if (i < at && begins_character) pad += ' ';
  }
  return fmt::format("\n  {}\n  {}^", line, pad);
}

/// Reads one length from left to right; every failure knows its place.
class LengthReader {
 public:
  LengthReader(std::string_view text, Unit file_unit, std::string_view where)
      : text_(text), file_unit_(file_unit), where_(where) {}

  Result<double> read() {
    skip_spaces();
    if (at_end()) return fail(at_, "no length here", "write a length such as 101.6 mm or 4 3/16 in");
    const double sign = read_sign();
    const Result<Number> first = read_number();
    if (!first) return first.problems();
    const Result<double> size_mm = read_rest(*first);
    if (!size_mm) return size_mm.problems();
    skip_spaces();
    if (!at_end()) return unexpected();
    if (*size_mm > kMostSensibleMm) return not_sensible(first->at);
    return sign * *size_mm;
  }

 private:
  bool at_end() const { return at_ >= text_.size(); }
  char peek() const { return at_end() ? '\0' : text_[at_]; }
  void skip_spaces() {
    while (is_space(peek())) ++at_;
  }
  std::string_view digits() {
    const std::size_t begin = at_;
    while (is_digit(peek())) ++at_;
    return text_.substr(begin, at_ - begin);
  }
  bool take(std::string_view symbol) {
    if (text_.substr(at_).substr(0, symbol.size()) != symbol) return false;
    at_ += symbol.size();
    return true;
  }

  Problem fail(std::size_t at, std::string_view what, std::string_view remedy) const {
    return {codes::kBadLength, where_, std::string(what) + excerpt(text_, at), std::string(remedy)};
  }
  Problem not_sensible(std::size_t at) const {
    return {codes::kLengthNotSensible, where_, "a length beyond 100 m" + excerpt(text_, at),
            "look at the unit: mm, in or ft"};
  }
  Problem unexpected() const {
    if (peek() == ',') return fail(at_, "a comma in a number", "write a decimal point: 1.5");
    return fail(at_, "this does not belong to a length", "write a length such as 101.6 mm or 4 3/16 in");
  }

  double read_sign() {
    if (take("-") || take("\u2212")) return -1.0;
    take("+");
    return 1.0;
  }

  /// 101.6, .5, 7, 1e-05
  Result<Number> read_decimal() {
    Number number;
    number.at = at_;
    const std::size_t whole_digits = digits().size();
    number.whole = peek() != '.';
    const std::size_t decimals = take(".") ? digits().size() : 0;
    if (whole_digits + decimals == 0) {
      at_ = number.at;
      return fail(at_, "a number is wanted here", "write a length such as 101.6 mm or 4 3/16 in");
    }
    if (const std::size_t size = exponent_size(); size > 0) {
      at_ += size;
      number.whole = false;
    }
    const auto read = std::from_chars(text_.data() + number.at, text_.data() + at_, number.value);
    if (read.ec != std::errc{})
      return fail(number.at, "a number out of range", "write a plain decimal number");
    return number;
  }

  std::size_t exponent_size() const {
    std::size_t end = at_;
    if (peek() != 'e' && peek() != 'E') return 0;
    ++end;
    if (end < text_.size() && (text_[end] == '+' || text_[end] == '-')) ++end;
    const std::size_t first_digit = end;
    while (end < text_.size() && is_digit(text_[end])) ++end;
    return end > first_digit ? end - at_ : 0;
  }

  /// A decimal, 3/16, 4 3/16 or 4-3/16.
  Result<Number> read_number() {
    Result<Number> number = read_decimal();
    if (!number || !number->whole) return number;
    if (peek() == '/') return over_denominator(*number);
    const std::size_t after_whole = at_;
    if (!take("-")) skip_spaces();
    if (at_ == after_whole || !fraction_ahead()) {
      at_ = after_whole;
      return number;
    }
    const Result<Number> numerator = read_decimal();
    if (!numerator) return numerator.problems();
    Result<Number> fraction = over_denominator(*numerator);
    if (!fraction) return fraction;
    if (fraction->value >= 1.0) {
      return fail(fraction->at, "the fraction of a mixed number is less than one",
                  "write 5 1/16 for 4 17/16");
    }
    fraction->value += number->value;
    fraction->at = number->at;
    return fraction;
  }

  bool fraction_ahead() const {
    std::size_t end = at_;
    while (end < text_.size() && is_digit(text_[end])) ++end;
    return end > at_ && end < text_.size() && text_[end] == '/';
  }

  Result<Number> over_denominator(Number numerator) {
    take("/");
    const std::size_t at = at_;
    if (!is_digit(peek())) return fail(at, "a denominator is wanted here", "write a fraction such as 3/16");
    const Result<Number> denominator = read_decimal();
    if (!denominator) return denominator.problems();
    if (!denominator->whole)
      return fail(at, "the denominator is no whole number", "write a fraction such as 3/16");
    if (denominator->value == 0.0) return fail(at, "the denominator is 0", "write a fraction such as 3/16");
    return Number{numerator.value / denominator->value, false, true, numerator.at};
  }

  Result<Mark> read_mark() {
    skip_spaces();
    for (const auto& [symbol, mark] : kSymbols) {
      if (take(symbol)) return mark;
    }
    const std::size_t begin = at_;
    while (is_letter(peek())) ++at_;
    const std::string_view word = text_.substr(begin, at_ - begin);
    if (word.empty()) return Mark::kNone;
    for (const auto& [name, mark] : kWords) {
      if (word == name) return mark;
    }
    return fail(begin, fmt::format("\"{}\" is no unit known here", word), "write mm, in or ft");
  }

  /// The unit after the first number, and inches where that unit is feet. The size in mm, without the sign.
  Result<double> read_rest(const Number& first) {
    const Result<Mark> mark = read_mark();
    if (!mark) return mark.problems();
    switch (*mark) {
      case Mark::kFoot:
        return read_after_feet(first);
      case Mark::kInch:
        return first.value * kMmPerInch;
      case Mark::kMm:
        if (first.fraction) {
          return fail(first.at, "a fraction of millimetres", "write decimals, or `3/16 in` for inches");
        }
        return first.value;
      case Mark::kNone:
        break;
    }
    if (file_unit_ == Unit::kInch) return first.value * kMmPerInch;
    if (first.fraction) return fail(first.at, "a fraction without a unit in a mm file", "write `3/16 in`");
    return first.value;
  }

  Result<double> read_after_feet(const Number& feet) {
    if (feet.fraction) return fail(feet.at, "a fraction of feet", "write feet and inches: 1' 4-3/16\"");
    skip_spaces();
    if (at_end()) return feet.value * kInchesPerFoot * kMmPerInch;
    if (take("-")) skip_spaces();
    if (!is_digit(peek()) && peek() != '.') return unexpected();
    const Result<Number> inches = read_number();
    if (!inches) return inches.problems();
    if (!feet.whole) return fail(feet.at, "decimals of feet before inches", "write whole feet: 1' 4-3/16\"");
    const std::size_t after_inches = at_;
    const Result<Mark> mark = read_mark();
    if (!mark) return mark.problems();
    if (*mark == Mark::kMm || *mark == Mark::kFoot) {
      return fail(after_inches, "feet are followed by inches", "write 1' 4-3/16\"");
    }
    if (*mark == Mark::kNone && file_unit_ == Unit::kMm) {
      return fail(inches->at, "inches without a unit in a mm file",
                  "write `1' 4 in`, fractions as `3/16 in`");
    }
    if (inches->value >= kInchesPerFoot) {
      return fail(inches->at, "the inches after feet are less than 12", "write 2' 0\" for 1' 12\"");
    }
    return (feet.value * kInchesPerFoot + inches->value) * kMmPerInch;
  }

  std::string_view text_;
  Unit file_unit_;
  std::string where_;
  std::size_t at_ = 0;
};

}  // namespace

Result<double> parse_length_mm(std::string_view text, Unit file_unit, std::string_view where) {
  return LengthReader(text, file_unit, where).read();
}

InchFraction to_inch_fraction(double length_mm, int denominator) {
  assert(std::isfinite(length_mm) && denominator >= 1 && denominator <= 64);
  const long long count =
      std::llround(std::abs(length_mm) / kMmPerInch * denominator);  // ties away from zero
  const int numerator = static_cast<int>(count % denominator);
  const int common = numerator == 0 ? denominator : std::gcd(numerator, denominator);
  InchFraction fraction;
  fraction.negative = length_mm < 0.0 && count > 0;
  fraction.inches = static_cast<int>(count / denominator);
  fraction.numerator = numerator / common;
  fraction.denominator = denominator / common;
  const double size_mm = static_cast<double>(count) / denominator * kMmPerInch;
  fraction.remainder_mm = length_mm - (fraction.negative ? -size_mm : size_mm);
  return fraction;
}

std::string format_inches(double length_mm, int denominator, bool with_remainder) {
  const InchFraction f = to_inch_fraction(length_mm, denominator);
  std::string text = f.negative ? "-" : "";
  if (f.numerator == 0) {
    text += fmt::format("{} in", f.inches);
  } else if (f.inches == 0) {
    text += fmt::format("{}/{} in", f.numerator, f.denominator);
  } else {
    text += fmt::format("{} {}/{} in", f.inches, f.numerator, f.denominator);
  }
  const double remainder_in = f.remainder_mm / kMmPerInch;
  if (with_remainder && std::abs(remainder_in) >= kLeastShownRemainderIn) {
    text += fmt::format(" {} {:.3f}", remainder_in < 0.0 ? '-' : '+', std::abs(remainder_in));
  }
  return text;
}

std::string format_mm(double length_mm, int decimals) {
  std::string text = fmt::format("{:.{}f}", length_mm, decimals);
  if (text.find_first_not_of("-0.") == std::string::npos && text.front() == '-') text.erase(0, 1);
  return text;
}

}  // namespace fairhole
