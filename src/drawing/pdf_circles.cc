// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "pdf_circles.h"

#include <qpdf/qpdf-c.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <sstream>

namespace fairhole::drawing::test {
namespace {

using Eigen::Vector2d;

/// Follows the operators that move the coordinate system and draw paths (ISO 32000-1, 8.3 and 8.5). Words of
/// a text are taken for operators of no meaning, which does no harm here.
class PathReader {
 public:
  std::vector<CurvePath> curves;

  void read(const std::string& contents) {
    std::istringstream in(contents);
    for (std::string token; in >> token;) {
      char* end = nullptr;
      const double value = std::strtod(token.c_str(), &end);
      if (end == token.c_str() + token.size()) {
        operands_.push_back(value);
      } else {
        apply(token);
        operands_.clear();
      }
    }
  }

 private:
  double number(std::size_t i) { return operands_.at(i); }
  Vector2d point(std::size_t i) { return matrix_ * Vector2d(number(i), number(i + 1)) * 25.4 / 72.0; }

  void apply(const std::string& op) {
    if (op == "q") saved_.push_back(matrix_);
    if (op == "Q") {
      matrix_ = saved_.back();
      saved_.pop_back();
    }
    if (op == "cm") {
      Eigen::Affine2d m;
      m.matrix() << number(0), number(2), number(4), number(1), number(3), number(5), 0, 0, 1;
      matrix_ = matrix_ * m;
    }
    if (op == "m") start(point(0));
    if (op == "l" || op == "re") straight_ = true;
    if (op == "c") {
      path_.push_back({at_, point(0), point(2), point(4)});
      at_ = point(4);
    }
    if (op == "S" || op == "f" || op == "n" || op == "f*") start(at_);
  }

  void start(const Vector2d& at) {
    if (!straight_ && !path_.empty()) curves.push_back(path_);
    path_.clear();
    straight_ = false;
    at_ = at;
  }

  Eigen::Affine2d matrix_ = Eigen::Affine2d::Identity();
  std::vector<Eigen::Affine2d> saved_;
  std::vector<double> operands_;
  CurvePath path_;
  bool straight_ = false;
  Vector2d at_ = Vector2d::Zero();
};

}  // namespace

std::vector<PdfPage> read_pdf(const std::string& bytes) {
  qpdf_data file = qpdf_init();
  qpdf_read_memory(file, "test", bytes.data(), bytes.size(), nullptr);
  std::vector<PdfPage> pages;
  for (int i = 0; i < qpdf_get_num_pages(file); ++i) {
    const qpdf_oh page = qpdf_get_page_n(file, static_cast<std::size_t>(i));
    unsigned char* data = nullptr;
    std::size_t length = 0;
    qpdf_oh_get_page_content_data(file, page, &data, &length);
    PathReader reader;
    reader.read({reinterpret_cast<const char*>(data), length});
    std::free(data);
    const qpdf_oh box = qpdf_oh_get_key(file, page, "/MediaBox");
    const auto side = [&](int n) {
      return qpdf_oh_get_numeric_value(file, qpdf_oh_get_array_item(file, box, n)) * 25.4 / 72.0;
    };
    pages.push_back({side(2) - side(0), side(3) - side(1), reader.curves});
  }
  qpdf_cleanup(&file);
  return pages;
}

double worst_distance_mm(const CurvePath& path, const Vector2d& centre_mm, double radius_mm) {
  static constexpr int kSamples = 100;
  double worst = 0.0;
  for (const CubicPiece& p : path) {
    for (int i = 0; i <= kSamples; ++i) {
      const double t = static_cast<double>(i) / kSamples;
      const double s = 1.0 - t;
      const Vector2d at = s * s * s * p[0] + 3 * s * s * t * p[1] + 3 * s * t * t * p[2] + t * t * t * p[3];
      worst = std::max(worst, std::abs((at - centre_mm).norm() - radius_mm));
    }
  }
  return worst;
}

}  // namespace fairhole::drawing::test
