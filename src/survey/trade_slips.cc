// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "trade_slips.h"

#include <fmt/format.h>

#include <cctype>
#include <cmath>
#include <cstdlib>

namespace fairhole::test {
namespace {

constexpr double kInchMm = 25.4;
constexpr double kFootMm = 304.8;

bool between_holes(ReadingKind kind) {
  return kind == ReadingKind::kCentres || kind == ReadingKind::kNearEdges || kind == ReadingKind::kFarEdges ||
         kind == ReadingKind::kSameEdges;
}

double as_kind(const SimulatedFace& face, Reading reading, ReadingKind kind) {
  reading.kind = kind;
  return face.measure(reading, face.truth);
}

/// Half the width of a reading's hole along the reading, for both ends.
std::vector<double> half_widths(const SimulatedFace& face, const Reading& reading) {
  using K = ReadingKind;
  if (between_holes(reading.kind)) {
    const double near = as_kind(face, reading, K::kNearEdges);
    const double far = as_kind(face, reading, K::kFarEdges);
    const double same = as_kind(face, reading, K::kSameEdges);
    return {0.5 * (same - near), 0.5 * (far - same)};
  }
  switch (reading.kind) {
    case K::kAlong:
    case K::kAlongNear:
    case K::kAlongFar:
    case K::kRun:
      return {0.5 * (as_kind(face, reading, K::kAlongFar) - as_kind(face, reading, K::kAlongNear))};
    case K::kAcross:
    case K::kAcrossNear:
    case K::kAcrossFar:
    case K::kRunAcross:
      return {0.5 * (as_kind(face, reading, K::kAcrossFar) - as_kind(face, reading, K::kAcrossNear))};
    default:
      return {};
  }
}

bool digit(char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0; }

/// What may be written for `text` by exchanging two neighbouring digits, a decimal point between them or not.
std::vector<std::string> swapped(const std::string& text) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i + 1 < text.size(); ++i) {
    const std::size_t next = text[i + 1] == '.' ? i + 2 : i + 1;
    if (next >= text.size() || !digit(text[i]) || !digit(text[next]) || text[i] == text[next]) continue;
    std::string other = text;
    std::swap(other[i], other[next]);
    const std::size_t first = other[0] == '-' ? 1 : 0;
    if (other[first] == '0' && digit(other[first + 1])) continue;  // nobody writes a nought first
    out.push_back(other);
  }
  return out;
}

std::vector<double> wrong_holes(const SimulatedFace& face, const Reading& reading) {
  std::vector<double> out;
  const double right = face.measure(reading, face.truth);
  for (int h = 0; h < face.holes; ++h) {
    const std::string id = fmt::format("H{}", h + 1);
    if (id == reading.from || id == reading.to || id == reading.line_end) continue;
    Reading other = reading;
    other.from = id;
    out.push_back(face.measure(other, face.truth) - right);
    if (!between_holes(reading.kind)) continue;
    other = reading;
    other.to = id;
    out.push_back(face.measure(other, face.truth) - right);
  }
  return out;
}

double distance_squared(const Eigen::MatrixXd& maker, std::size_t i, double ui, std::size_t j, double uj) {
  const auto a = static_cast<Eigen::Index>(i);
  const auto b = static_cast<Eigen::Index>(j);
  return ui * ui * maker(a, a) - 2.0 * ui * uj * maker(a, b) + uj * uj * maker(b, b);
}

}  // namespace

std::vector<double> sizes_of_slip(const SimulatedFace& face, const Reading& reading,
                                  const std::string& slip) {
  if (slip == "100 mm start") return {100.0};
  if (slip == "1 in start") return {kInchMm};
  if (slip == "1 in") return {-kInchMm};
  if (slip == "10 mm") return {10.0, -10.0};
  if (slip == "a foot") return {kFootMm, -kFootMm};
  if (slip == "inch for metric") return {reading.value_mm / kInchMm - reading.value_mm};
  if (slip == "wrong hole") return wrong_holes(face, reading);
  std::vector<double> sizes;
  if (slip == "digits swapped") {
    for (const std::string& text : swapped(reading.text))
      sizes.push_back(std::atof(text.c_str()) - std::atof(reading.text.c_str()));
  } else if (slip == "edge for centre") {
    for (const double half : half_widths(face, reading)) {
      sizes.push_back(half);
      sizes.push_back(-half);
    }
  }
  return sizes;
}

void write_down(Reading& reading, double value_mm) {
  reading.text = fmt::format("{:.1f}", value_mm);
  reading.value_mm = std::atof(reading.text.c_str());
}

bool can_be_read(const Reading& reading, double value_mm) {
  return !between_holes(reading.kind) || value_mm > 0.05;
}

std::vector<Explanation> all_explanations(const SimulatedFace& face) {
  std::vector<Explanation> out;
  for (std::size_t row = 0; row < face.readings.rows.size(); ++row) {
    const Reading& reading = face.readings.rows[row];
    const bool tape = reading.kind != ReadingKind::kDia;
    for (const std::string& name : slip_names()) {
      if (!tape && name != "digits swapped" && name != "inch for metric") continue;
      if (name == "inch for metric") {
        out.push_back({row, name, reading.value_mm - reading.value_mm * kInchMm});
        continue;
      }
      // Digits are put back as they were swapped.
      const double sign = name == "digits swapped" ? -1.0 : 1.0;
      for (const double size : sizes_of_slip(face, reading, name)) out.push_back({row, name, sign * size});
    }
  }
  return out;
}

bool is_distinguishable(const SimulatedFace& face, const Eigen::MatrixXd& maker, const Explanation& truth,
                        const std::vector<Explanation>& rivals, double distance) {
  const auto& rows = face.readings.rows;
  const double limit = distance * distance;
  const double error = truth.size_mm / rows[truth.row].sigma_mm;
  if (distance_squared(maker, truth.row, error, truth.row, 0.0) < limit) return false;
  for (const Explanation& rival : rivals) {
    if (rival.row == truth.row && rival.name == truth.name) continue;
    const double other = rival.size_mm / rows[rival.row].sigma_mm;
    if (distance_squared(maker, truth.row, error, rival.row, other) < limit) return false;
  }
  return true;
}

}  // namespace fairhole::test
