// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "pdf_circles.h"

#define POINTERHOLDER_TRANSITION 4
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <qpdf/JSON.hh>  // QPDF.hh needs it whole
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFPageObjectHelper.hh>

namespace fairhole::drawing::test {
namespace {

using Eigen::Vector2d;

/// Follows the operators that move the coordinate system and draw paths (ISO 32000-1, 8.3 and 8.5).
class PathReader : public QPDFObjectHandle::ParserCallbacks {
 public:
  std::vector<CurvePath> curves;

  void handleObject(QPDFObjectHandle object) override {
    if (!object.isOperator()) {
      operands_.push_back(object);
      return;
    }
    apply(object.getOperatorValue());
    operands_.clear();
  }
  void handleEOF() override {}

 private:
  double number(std::size_t i) { return operands_[i].getNumericValue(); }
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
  std::vector<QPDFObjectHandle> operands_;
  CurvePath path_;
  bool straight_ = false;
  Vector2d at_ = Vector2d::Zero();
};

}  // namespace

std::vector<PdfPage> read_pdf(const std::string& bytes) {
  QPDF file;
  file.processMemoryFile("test", bytes.data(), bytes.size());
  std::vector<PdfPage> pages;
  for (auto& helper : QPDFPageDocumentHelper(file).getAllPages()) {
    PathReader reader;
    helper.parseContents(&reader);
    auto box = helper.getObjectHandle().getKey("/MediaBox").getArrayAsRectangle();
    pages.push_back({(box.urx - box.llx) * 25.4 / 72.0, (box.ury - box.lly) * 25.4 / 72.0, reader.curves});
  }
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
