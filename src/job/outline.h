// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

/// Polygons as the job states outlines. Closed without repeating the first corner; millimetres.
namespace fairhole::job {

using Outline = std::vector<Eigen::Vector2d>;

double signed_area_mm2(const Outline& outline_mm);  ///< positive counter-clockwise

/// What is wrong with an outline ("2 corners enclose nothing"), or nothing.
std::optional<std::string> outline_fault(const Outline& outline_mm);

/// Inside, or within `margin_mm` of the rim.
bool inside(const Outline& outline_mm, const Eigen::Vector2d& point_mm, double margin_mm = 0.0);

/// Share of `inner` that lies over `outer`, 0..1, on a grid of at least 400 points of `inner`.
double share_over(const Outline& inner_mm, const Outline& outer_mm);

/// Distance of a point from the segment a-b.
double distance_to_segment_mm(const Eigen::Vector2d& point_mm, const Eigen::Vector2d& a_mm,
                              const Eigen::Vector2d& b_mm);

}  // namespace fairhole::job
