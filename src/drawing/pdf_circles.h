// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <array>
#include <string>
#include <vector>

/// What stands in a PDF, read with qpdf's library: for the tests alone.
namespace fairhole::drawing::test {

/// Control points of one cubic piece, mm from the page's lower left corner.
using CubicPiece = std::array<Eigen::Vector2d, 4>;
/// A path of curves alone: a round shape.
using CurvePath = std::vector<CubicPiece>;

struct PdfPage {
  double width_mm = 0.0, height_mm = 0.0;
  std::vector<CurvePath> curves;
};

std::vector<PdfPage> read_pdf(const std::string& bytes);

/// Largest distance of the path from the circle, at 100 points of each piece.
double worst_distance_mm(const CurvePath& path, const Eigen::Vector2d& centre_mm, double radius_mm);

}  // namespace fairhole::drawing::test
