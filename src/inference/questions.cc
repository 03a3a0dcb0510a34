// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "questions.h"

#include <Eigen/Cholesky>
#include <cmath>

#include "ring_shape.h"

namespace fairhole::inference {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::Vector2d;
using Eigen::VectorXd;

/// Members of one face that have a say.
std::vector<Member> speaking(const std::vector<Member>& members, int face) {
  std::vector<Member> out;
  for (const Member& m : members) {
    if (m.face == face && !m.strayed) out.push_back(m);
  }
  return out;
}

/// Coordinates along `axis` of some holes, with their covariance; design still empty.
Segment coordinates(const FaceView& face, const std::vector<Member>& members, int axis) {
  const Index n = static_cast<Index>(members.size());
  Segment segment{VectorXd(n), VectorXd::Zero(n), {}, MatrixXd(n, n)};
  for (Index i = 0; i < n; ++i) {
    const int a = members[static_cast<std::size_t>(i)].hole;
    const Vector2d& p = face.holes_mm[static_cast<std::size_t>(a)];
    segment.z0_mm[i] = p[axis];
    if (face.turn_unknown) segment.z1_mm[i] = axis == 0 ? p.y() : -p.x();  // turned_back, by the turn
    for (Index j = 0; j < n; ++j) {
      const int b = members[static_cast<std::size_t>(j)].hole;
      segment.measuring_cov_mm2(i, j) = face.covariance_mm2(2 * a + axis, 2 * b + axis);
    }
  }
  return segment;
}

/// Pitch and first of rows. Columns: pitch, first, and the shift of a face that lies anywhere along x.
Question spacing_question(const SeenRows& rows, const std::vector<FaceView>& faces, bool first_is_known) {
  Question question;
  question.names = {"pitch", "first"};
  question.block.snapped = 2;
  if (first_is_known) {
    question.names.pop_back();
    question.block.snapped = 1;
  }
  const int axis = rows.along_y ? 1 : 0;
  const bool shifts = !rows.along_y && faces.size() > 1 && faces[1].shifted_along_x;
  bool shift_seen = false;
  for (const SeenLine& line : rows.lines) {
    for (std::size_t f = 0; f < faces.size(); ++f) {
      const std::vector<Member> members = speaking(line.members, static_cast<int>(f));
      if (members.empty()) continue;
      Segment segment = coordinates(faces[f], members, axis);
      segment.design = MatrixXd::Zero(segment.z0_mm.size(), shifts ? 3 : 2);
      for (Index i = 0; i < segment.design.rows(); ++i) {
        segment.design(i, 0) = members[static_cast<std::size_t>(i)].k + line.shift();
        segment.design(i, 1) = 1.0;
        if (shifts && f == 1) segment.design(i, 2) = 1.0;
      }
      shift_seen = shift_seen || (shifts && f == 1);
      question.block.segments.push_back(std::move(segment));
    }
  }
  if (shifts && !shift_seen) {
    for (Segment& segment : question.block.segments) segment.design.conservativeResize(Eigen::NoChange, 2);
  }
  return question;
}

Question gauge_question(const SeenLine& line, bool along_y, const std::vector<FaceView>& faces,
                        bool is_known) {
  Question question;
  question.names = {"gauge"};
  question.block.snapped = 1;
  if (is_known) {
    question.names.clear();
    question.block.snapped = 0;
  }
  for (std::size_t f = 0; f < faces.size(); ++f) {
    const std::vector<Member> members = speaking(line.members, static_cast<int>(f));
    if (members.empty() || (along_y && faces[f].shifted_along_x)) continue;
    Segment segment = coordinates(faces[f], members, along_y ? 0 : 1);
    segment.design = MatrixXd::Ones(segment.z0_mm.size(), 1);
    question.block.segments.push_back(std::move(segment));
  }
  return question;
}

/// Coordinates of a ring's holes, linear about the shape.
Segment ring_segment(const SeenRing& ring, const FaceView& face, const RingShape& shape, Index unknowns) {
  const std::vector<Member> members = speaking(ring.members, 0);
  const Index n = static_cast<Index>(members.size());
  Segment out{VectorXd(2 * n), VectorXd(2 * n), MatrixXd(2 * n, unknowns), MatrixXd(2 * n, 2 * n)};
  for (Index i = 0; i < n; ++i) {
    const Member& m = members[static_cast<std::size_t>(i)];
    const Vector2d& p = face.holes_mm[static_cast<std::size_t>(m.hole)];
    const auto slope = shape.derivatives(m.k);
    out.design.middleRows<2>(2 * i) = slope.leftCols(unknowns);
    out.z0_mm.segment<2>(2 * i) =
        p - shape.place_mm(m.k) + slope.leftCols(unknowns) * shape.d_mm.head(unknowns);
    out.z1_mm.segment<2>(2 * i) = Vector2d(p.y(), -p.x());
    for (Index j = 0; j < n; ++j) {
      const int other = members[static_cast<std::size_t>(j)].hole;
      out.measuring_cov_mm2.block<2, 2>(2 * i, 2 * j) =
          face.covariance_mm2.block<2, 2>(2 * m.hole, 2 * other);
    }
  }
  return out;
}

/// Centre and diameter. The arcs to the first hole and from hole to hole are no round values.
Question ring_question(const SeenRing& ring, const FaceView& face, double turn_rad) {
  std::vector<Vector2d> back_mm;
  for (const Vector2d& p : face.holes_mm) back_mm.push_back(turned_back(p, turn_rad));
  const RingShape shape = fit_ring(ring, back_mm, ring.closed).shape;
  Segment segment = ring_segment(ring, face, shape, shape.unknowns());
  Question question;
  question.names = {"diameter", "centre x", "centre y"};
  question.block.snapped = 3;
  // The diameter first: it is known best.
  segment.design.col(0).swap(segment.design.col(2));
  segment.design.col(1).swap(segment.design.col(2));
  question.block.segments.push_back(std::move(segment));
  return question;
}

void add_origin(Block& block, double variance_mm2) {
  for (Segment& segment : block.segments) segment.measuring_cov_mm2.array() += variance_mm2;
}

}  // namespace

ItemNumbers number_items(const Structure& structure) {
  ItemNumbers numbers;
  for (const SeenRows& rows : structure.rows) {
    numbers.lines.emplace_back();
    for (std::size_t i = 0; i < rows.lines.size(); ++i) numbers.lines.back().push_back(numbers.count++);
  }
  for (std::size_t i = 0; i < structure.rows.size(); ++i) numbers.wholes.push_back(numbers.count++);
  for (std::size_t i = 0; i < structure.rings.size(); ++i) numbers.rings.push_back(numbers.count++);
  return numbers;
}

std::vector<Question> ask(const Structure& structure, const ItemNumbers& numbers,
                          const std::vector<FaceView>& faces, const LooseOrigin& origin) {
  std::vector<Question> questions;
  for (std::size_t r = 0; r < structure.rows.size(); ++r) {
    const SeenRows& rows = structure.rows[r];
    const bool known = origin.is && r == 0;
    questions.push_back(spacing_question(rows, faces, known));
    if (origin.is && r > 0) add_origin(questions.back().block, origin.cov_mm2(rows.along_y, rows.along_y));
    questions.back().items = numbers.lines[r];
    questions.back().items.push_back(numbers.wholes[r]);
    for (std::size_t l = 0; l < rows.lines.size(); ++l) {
      const bool first = known && l == 0;
      questions.push_back(gauge_question(rows.lines[l], rows.along_y, faces, first));
      if (origin.is && !first)
        add_origin(questions.back().block, origin.cov_mm2(!rows.along_y, !rows.along_y));
      questions.back().items = {numbers.lines[r][l], numbers.wholes[r]};
    }
  }
  for (std::size_t r = 0; r < structure.rings.size(); ++r) {
    questions.push_back(ring_question(structure.rings[r], faces.front(), structure.turn_rad));
    if (origin.is && structure.rows.empty() && r == 0) {  // its centre is the origin
      questions.back().names.resize(1);
      questions.back().block.snapped = 1;
    } else if (origin.is) {
      add_origin(questions.back().block, 0.5 * origin.cov_mm2.trace());
    }
    questions.back().items = {numbers.rings[r]};
  }
  return questions;
}

}  // namespace fairhole::inference
