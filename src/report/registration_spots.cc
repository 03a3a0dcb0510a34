// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "registration_spots.h"

#include <algorithm>
#include <cmath>

namespace fairhole::report {
namespace {

constexpr std::size_t kMostRivals = 3;
constexpr double kMarginMm = 20.0;  ///< of outline and grid about the drawing's outermost holes

const NominalHole* nominal_of(const Pattern& pattern, const HoleId& id) {
  const auto found =
      std::find_if(pattern.begin(), pattern.end(), [&](const NominalHole& h) { return h.id == id; });
  return found == pattern.end() ? nullptr : &*found;
}

/// The drawing's holes with a margin, pattern frame.
Box pattern_extent(const Pattern& pattern) {
  Box box{pattern.front().centre_mm, pattern.front().centre_mm};
  for (const NominalHole& hole : pattern) {
    box.low_mm = box.low_mm.cwiseMin(hole.centre_mm);
    box.high_mm = box.high_mm.cwiseMax(hole.centre_mm);
  }
  return box.grown(kMarginMm);
}

class SceneMaker {
 public:
  explicit SceneMaker(const RegistrationPicture& picture)
      : picture_(picture), bent_(picture.distortion != nullptr && !picture.distortion->accepted.empty()) {}

  std::vector<Spot> spots() const {
    std::vector<Spot> spots;
    for (const Match& match : picture_.registration.matches) {
      const NominalHole* hole = nominal_of(picture_.pattern, match.nominal);
      if (hole == nullptr) continue;
      spots.push_back(spot(*hole, Spot::Kind::kMatched, match.measured));
      spots.back().residual_mm = picture_.view_from_face.linear() * match.residual_mm;
      spots.back().bend_mm = bend_mm(hole->centre_mm);
    }
    for (const HoleId& id : picture_.registration.missing) {
      const NominalHole* hole = nominal_of(picture_.pattern, id);
      if (hole != nullptr) spots.push_back(spot(*hole, Spot::Kind::kMissing, id + " missing"));
    }
    for (const HoleId& id : picture_.registration.extra) {
      const MeasuredHole* hole = picture_.measured.find(id);
      if (hole == nullptr) continue;
      Spot extra;
      extra.kind = Spot::Kind::kExtra;
      extra.label = id + " extra";
      extra.at_mm = picture_.view_from_face * hole->centre_mm;
      spots.push_back(extra);
    }
    return spots;
  }

  BentGrid grid() const {
    constexpr int kCells = 8;  // on the longer side; nearly square cells
    constexpr int kSteps = 24;
    BentGrid grid;
    if (!bent_) return grid;
    const Box box = pattern_extent(picture_.pattern);
    const Eigen::Vector2d size = box.high_mm - box.low_mm;
    for (const int axis : {0, 1}) {
      const int cells = std::max(1, static_cast<int>(std::lround(kCells * size[axis] / size.maxCoeff())));
      for (int cell = 0; cell <= cells; ++cell) {
        BentGrid::GridLine grid_line;
        for (int step = 0; step <= kSteps; ++step) {
          Eigen::Vector2d share;
          share[axis] = static_cast<double>(cell) / cells;
          share[1 - axis] = static_cast<double>(step) / kSteps;
          const Eigen::Vector2d p = box.low_mm + share.cwiseProduct(size);
          grid_line.places_mm.push_back(posed(p));
          grid_line.bends_mm.push_back(bend_mm(p));
        }
        grid.lines.push_back(std::move(grid_line));
      }
    }
    return grid;
  }

  std::vector<RivalOutline> rivals() const {
    std::vector<RivalOutline> rivals;
    const auto& all = picture_.registration.rivals;
    const Box box = pattern_extent(picture_.pattern);
    for (std::size_t i = 0; i < std::min(kMostRivals, all.size()); ++i) {
      const auto place = [&](const Eigen::Vector2d& p) -> Eigen::Vector2d {
        return picture_.view_from_face * (all[i].face_from_pattern * p);
      };
      const NominalHole& first = picture_.pattern.front();
      rivals.push_back({{place(box.low_mm), place({box.high_mm.x(), box.low_mm.y()}), place(box.high_mm),
                         place({box.low_mm.x(), box.high_mm.y()})},
                        place(first.centre_mm),
                        first.id,
                        all[i].odds});
    }
    return rivals;
  }

 private:
  Eigen::Vector2d posed(const Eigen::Vector2d& nominal_mm) const {
    return picture_.view_from_face * (picture_.registration.face_from_pattern * nominal_mm);
  }
  Eigen::Vector2d bend_mm(const Eigen::Vector2d& nominal_mm) const {
    if (!bent_) return Eigen::Vector2d::Zero();
    return picture_.view_from_face * picture_.distortion->pose(nominal_mm) - posed(nominal_mm);
  }
  Spot spot(const NominalHole& hole, Spot::Kind kind, const std::string& label) const {
    const Eigen::Matrix2d linear = picture_.view_from_face.linear();
    Spot spot;
    spot.kind = kind;
    spot.label = label;
    spot.at_mm = posed(hole.centre_mm);
    spot.ellipse = confidence_ellipse(linear * posed_covariance(picture_.registration, hole.centre_mm) *
                                      linear.transpose());
    return spot;
  }

  const RegistrationPicture& picture_;
  bool bent_ = false;
};

}  // namespace

double BentGrid::strain() const {
  double largest = 0.0;
  for (const GridLine& line : lines) {
    for (std::size_t i = 1; i < line.places_mm.size(); ++i) {
      const Eigen::Vector2d step = line.places_mm[i] - line.places_mm[i - 1];
      const Eigen::Vector2d bend = line.bends_mm[i] - line.bends_mm[i - 1];
      largest = std::max(largest, std::abs(bend.dot(step)) / step.squaredNorm());
    }
  }
  return largest;
}

Box RegistrationScene::around() const {
  Box box{spots.front().at_mm, spots.front().at_mm};
  const auto take = [&](const Eigen::Vector2d& place_mm) {
    box.low_mm = box.low_mm.cwiseMin(place_mm);
    box.high_mm = box.high_mm.cwiseMax(place_mm);
  };
  for (const Spot& spot : spots) take(spot.at_mm);
  for (const BentGrid::GridLine& line : grid.lines) {
    for (const Eigen::Vector2d& place_mm : line.places_mm) take(place_mm);
  }
  for (const RivalOutline& rival : rivals) {
    for (const Eigen::Vector2d& corner_mm : rival.corners_mm) take(corner_mm);
  }
  return box;
}

RegistrationScene registration_scene(const RegistrationPicture& picture) {
  if (picture.pattern.empty()) return {};
  const SceneMaker maker(picture);
  return {maker.spots(), maker.grid(), maker.rivals()};
}

}  // namespace fairhole::report
