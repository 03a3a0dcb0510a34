// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "crescent.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace fairhole::report {
namespace {

std::optional<Piece> disc_chord(const Eigen::Vector2d& centre_mm, double radius_mm, const Ray& ray) {
  const Eigen::Vector2d to_centre = centre_mm - ray.point_mm;
  const double along = to_centre.dot(ray.direction);
  const double off2 = to_centre.squaredNorm() - along * along;
  const double half2 = radius_mm * radius_mm - off2;
  if (half2 <= 0.0) return std::nullopt;
  return Piece{along - std::sqrt(half2), along + std::sqrt(half2)};
}

/// The band between the two discs: |along the axis| <= its half length, |off the axis| <= radius.
std::optional<Piece> band_chord(const Rim& rim, const Ray& ray) {
  const double half_length = rim.half_axis_mm.norm();
  if (half_length <= 0.0) return std::nullopt;
  const Eigen::Vector2d axis = rim.half_axis_mm / half_length;
  const Eigen::Vector2d off(-axis.y(), axis.x());
  Piece piece{-std::numeric_limits<double>::infinity(), std::numeric_limits<double>::infinity()};
  const auto clip = [&](const Eigen::Vector2d& normal, double limit) {
    const double at = normal.dot(ray.point_mm - rim.centre_mm);
    const double speed = normal.dot(ray.direction);
    if (speed == 0.0) return std::abs(at) < limit;
    const double t1 = (-limit - at) / speed;
    const double t2 = (limit - at) / speed;
    piece = {std::max(piece.first, std::min(t1, t2)), std::min(piece.second, std::max(t1, t2))};
    return piece.first < piece.second;
  };
  if (!clip(axis, half_length) || !clip(off, rim.radius_mm)) return std::nullopt;
  return piece;
}

Pieces united(Pieces pieces) {
  std::sort(pieces.begin(), pieces.end());
  Pieces apart;
  for (const Piece& piece : pieces) {
    if (!apart.empty() && piece.first <= apart.back().second) {
      apart.back().second = std::max(apart.back().second, piece.second);
    } else {
      apart.push_back(piece);
    }
  }
  return apart;
}

Pieces without(const Pieces& pieces, const Piece& cut) {
  Pieces rest;
  for (const Piece& piece : pieces) {
    const Piece before{piece.first, std::min(piece.second, cut.first)};
    const Piece after{std::max(piece.first, cut.second), piece.second};
    if (before.first < before.second) rest.push_back(before);
    if (after.first < after.second) rest.push_back(after);
  }
  return rest;
}

}  // namespace

std::optional<Piece> chord(const Rim& rim, const Ray& ray) {
  std::optional<Piece> whole;
  const auto take = [&](const std::optional<Piece>& piece) {
    if (!piece) return;
    whole =
        whole ? Piece{std::min(whole->first, piece->first), std::max(whole->second, piece->second)} : *piece;
  };
  take(disc_chord(rim.centre_mm - rim.half_axis_mm, rim.radius_mm, ray));
  take(disc_chord(rim.centre_mm + rim.half_axis_mm, rim.radius_mm, ray));
  take(band_chord(rim, ray));
  return whole;
}

Region left_outside(std::vector<Rim> rims, const Rim& circle) {
  return [rims = std::move(rims), circle](const Ray& ray) {
    Pieces inside;
    for (const Rim& rim : rims) {
      if (const auto piece = chord(rim, ray)) inside.push_back(*piece);
    }
    inside = united(std::move(inside));
    const auto cut = chord(circle, ray);
    return cut ? without(inside, *cut) : inside;
  };
}

Region taken_away(std::vector<Rim> rims, const Rim& circle) {
  return [rims = std::move(rims), circle](const Ray& ray) -> Pieces {
    const auto whole = chord(circle, ray);
    if (!whole || rims.empty()) return {};
    Piece open_in_all = *whole;
    for (const Rim& rim : rims) {
      const auto piece = chord(rim, ray);
      if (!piece) return {*whole};
      open_in_all = {std::max(open_in_all.first, piece->first), std::min(open_in_all.second, piece->second)};
    }
    if (open_in_all.first >= open_in_all.second) return {*whole};
    return without({*whole}, open_in_all);
  };
}

std::vector<HatchLine> hatch(const Region& region, const Eigen::Vector2d& centre_mm, double reach_mm,
                             double angle_rad, double spacing_mm) {
  const Eigen::Vector2d direction(std::cos(angle_rad), std::sin(angle_rad));
  const Eigen::Vector2d step(-direction.y(), direction.x());
  const int count = static_cast<int>(std::floor(2.0 * reach_mm / spacing_mm));
  std::vector<HatchLine> lines;
  for (int i = 0; i < count; ++i) {
    const Ray ray{centre_mm + step * (-reach_mm + (i + 0.5) * spacing_mm), direction};
    for (const Piece& piece : region(ray)) {
      lines.push_back({ray.point_mm + piece.first * direction, ray.point_mm + piece.second * direction});
    }
  }
  return lines;
}

double overhang_mm(const Rim& rim, const Eigen::Vector2d& circle_centre_mm, double circle_radius_mm) {
  const Eigen::Vector2d off = rim.centre_mm - circle_centre_mm;
  return std::max((off - rim.half_axis_mm).norm(), (off + rim.half_axis_mm).norm()) + rim.radius_mm -
         circle_radius_mm;
}

}  // namespace fairhole::report
