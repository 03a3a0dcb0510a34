// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/read_photos.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

#include "board_cover.h"
#include "fairhole/photo/find_marks.h"

namespace fairhole::photo {
namespace {

constexpr double kSamePlace = 1.0 / 3.0;  // of the diameter: no two holes lie so near
constexpr double kPrickRoomMm = 9.0;      // of a pricked centre, whose diameter nobody knows

std::vector<HoleImage> find(const Picture& picture, const View& view, const HoleSearch& search, bool marks) {
  return marks ? find_marks(picture, view, search) : find_holes(picture, view, search);
}

std::vector<HoleImage> find_in_all(std::span<const Picture> pictures, std::span<const Board> boards,
                                   const AdjustedPhotos& cameras, const ReadOptions& options) {
  const bool marks = options.cameras.marks_on_sheet;
  std::vector<HoleImage> images;
  for (std::size_t p = 0; p < pictures.size(); ++p) {
    HoleSearch search{
        .expected_mm = options.expected_mm, .hints_mm = options.hints_mm, .photo = static_cast<int>(p)};
    const View& view = cameras.photos[p].view;
    search.masked_px = covered_by_boards(boards, cameras.boards, view, marks);
    for (HoleImage& image :
         marks ? find_marks(pictures[p], view, search) : find_holes(pictures[p], view, search))
      images.push_back(std::move(image));
  }
  return images;
}

double spread(const HoleImage& image) { return image.pixel_cov_px2.trace(); }

/// The sightings that count: the sound ones; of a hole that is doubtful everywhere the best alone, so that a
/// rivet's head, which stands above the face, does not pull the cameras.
std::vector<HoleImage> counting(const std::vector<HoleImage>& group) {
  std::vector<HoleImage> sound;
  std::ranges::copy_if(group, std::back_inserter(sound), [](const HoleImage& i) { return !i.doubtful; });
  if (sound.empty()) sound.push_back(*std::ranges::min_element(group, {}, spread));
  return sound;
}

struct Mean {
  double value = 0.0, sigma = 0.0;
};

/// Weighted mean; its sigma grows with the pictures' disagreement.
template <class Value, class Sigma>
Mean mean_of(const std::vector<HoleImage>& images, Value value, Sigma sigma) {
  double weights = 0.0, sum = 0.0;
  for (const HoleImage& image : images) {
    const double w = 1.0 / std::pow(std::max(sigma(image), 1e-6), 2);
    weights += w;
    sum += w * value(image);
  }
  Mean mean{sum / weights, 1.0 / std::sqrt(weights)};
  double squares = 0.0;
  for (const HoleImage& image : images)
    squares += std::pow((value(image) - mean.value) / std::max(sigma(image), 1e-6), 2);
  if (images.size() > 1)
    mean.sigma *= std::sqrt(std::max(1.0, squares / (static_cast<double>(images.size()) - 1.0)));
  return mean;
}

PhotoHole describe(const std::vector<HoleImage>& images, double scale_sigma) {
  PhotoHole hole;
  const HoleImage& best = *std::ranges::min_element(images, {}, spread);
  hole.kind = best.kind;
  const Mean bore = mean_of(
      images, [](const HoleImage& i) { return i.bore_diameter_mm; },
      [](const HoleImage& i) { return i.bore_sigma_mm; });
  hole.bore_diameter_mm = bore.value;
  hole.bore_sigma_mm = std::hypot(bore.sigma, scale_sigma * bore.value);
  hole.rim_diameter_mm = mean_of(
                             images, [](const HoleImage& i) { return i.rim_diameter_mm; },
                             [](const HoleImage& i) { return i.rim_sigma_mm; })
                             .value;
  // Ovals as (cos, sin) of twice the direction, which average like vectors.
  Eigen::Vector2d oval = Eigen::Vector2d::Zero();
  for (const HoleImage& i : images)
    oval += i.oval_mm * Eigen::Vector2d(std::cos(2.0 * i.oval_axis_rad), std::sin(2.0 * i.oval_axis_rad)) /
            static_cast<double>(images.size());
  hole.oval_mm = oval.norm();
  hole.oval_axis_rad = 0.5 * std::atan2(oval.y(), oval.x());
  std::set<std::string> said;
  for (const HoleImage& i : images) {
    hole.doubtful = hole.doubtful || i.doubtful;
    hole.photos.push_back(i.photo);
    for (const std::string& reason : i.reasons)
      if (said.insert(reason).second) hole.reasons.push_back(reason);
  }
  return hole;
}

double scale_sigma(const AdjustedPhotos& adjusted) {
  double sigma = 0.0;
  for (const PlacedBoard& board : adjusted.boards)
    if (board.seen) sigma = std::max(sigma, board.scale_sigma.maxCoeff());
  return sigma;
}

void judge(PhotoReading& reading) {
  for (std::size_t h = 0; h < reading.holes.size(); ++h) {
    PhotoHole& hole = reading.holes[h];
    const PlacedHole& placed = reading.adjusted.holes[h];
    hole.centre_mm = placed.centre_mm;
    if (!placed.disagrees) continue;
    hole.doubtful = true;
    hole.reasons.push_back(fmt::format("its pictures put it {:.2f} mm apart", placed.disagreement_mm));
  }
}

constexpr double kScannerSigma = 0.002;  // of its scale, along each way
constexpr double kInchMm = 25.4;

/// A scanner sees every point from straight above: a camera so far off that heights of a millimetre move
/// nothing by a micrometre.
View scanner_view(const Picture& picture, double dpi) {
  constexpr double kFarMm = 1e6;
  View view;
  view.lens.focal_px = kFarMm * dpi / kInchMm;
  view.lens.centre_px = {(picture.width_px - 1) / 2.0, (picture.height_px - 1) / 2.0};
  view.camera_from_world = Eigen::Vector3d(1.0, -1.0, -1.0).asDiagonal();
  const double mm = kInchMm / dpi;  // a pixel
  view.origin_mm = {-0.5 * picture.width_px * mm, 0.5 * picture.height_px * mm, kFarMm};
  return view;
}

}  // namespace

PhotoReading read_scan(const Picture& picture, double dpi, const ReadOptions& options) {
  PhotoReading reading;
  PhotoFit scan;
  scan.view = scanner_view(picture, dpi);
  reading.adjusted.frame = "scan";
  reading.adjusted.photos = {scan};
  const std::vector<HoleImage> images =
      find(picture, scan.view, {.expected_mm = options.expected_mm, .hints_mm = options.hints_mm},
           options.cameras.marks_on_sheet);
  const auto count = static_cast<Eigen::Index>(images.size());
  Eigen::VectorXd x = Eigen::VectorXd::Zero(2 * count), y = x;
  reading.adjusted.covariance_mm2 = Eigen::MatrixXd::Zero(2 * count, 2 * count);
  const Eigen::Matrix2d mm = (kInchMm / dpi) * Eigen::Vector2d(1.0, -1.0).asDiagonal().toDenseMatrix();
  for (Eigen::Index i = 0; i < count; ++i) {
    const HoleImage& image = images[static_cast<std::size_t>(i)];
    reading.holes.push_back(describe({image}, kScannerSigma));
    reading.holes.back().id = fmt::format("H{}", i + 1);
    reading.holes.back().centre_mm = image.face_mm;
    reading.adjusted.holes.push_back({.centre_mm = image.face_mm});
    reading.adjusted.covariance_mm2.block<2, 2>(2 * i, 2 * i) = mm * image.pixel_cov_px2 * mm.transpose();
    x[2 * i] = image.face_mm.x();
    y[2 * i + 1] = image.face_mm.y();
  }
  reading.adjusted.covariance_mm2 += kScannerSigma * kScannerSigma * (x * x.transpose() + y * y.transpose());
  reading.adjusted.warnings.emplace_back(
      "the scale is the scanner's own, good to about 0.2 %, 2 mm in a metre; a scale board on the sheet is "
      "better");
  return reading;
}

std::vector<std::vector<HoleImage>> same_holes(const std::vector<HoleImage>& images) {
  std::vector<std::vector<HoleImage>> groups;
  for (const HoleImage& image : images) {
    std::vector<HoleImage>* nearest = nullptr;
    double least = kSamePlace * (image.kind == MarkKind::kPrick ? kPrickRoomMm : image.bore_diameter_mm);
    for (std::vector<HoleImage>& group : groups) {
      const double away = (group.front().face_mm - image.face_mm).norm();
      const bool other_picture =
          std::ranges::none_of(group, [&](const HoleImage& i) { return i.photo == image.photo; });
      if (away < least && other_picture) {
        least = away;
        nearest = &group;
      }
    }
    if (nearest != nullptr)
      nearest->push_back(image);
    else
      groups.push_back({image});
  }
  return groups;
}

void doubt_with_most(const std::vector<HoleImage>& group, PhotoHole& hole) {
  const auto doubting = std::ranges::count_if(group, [](const HoleImage& i) { return i.doubtful; });
  if (hole.doubtful || 2 * doubting <= std::ssize(group)) return;
  hole.doubtful = true;
  for (const HoleImage& image : group)
    for (const std::string& reason : image.reasons)
      if (std::ranges::count(hole.reasons, reason) == 0) hole.reasons.push_back(reason);
}

Result<PhotoReading> read_photos(std::span<const Picture> pictures, std::span<const Board> boards,
                                 const ReadOptions& options) {
  const Result<Cameras> cameras = find_cameras(pictures, boards, options.cameras);
  if (!cameras) return cameras.problems();
  std::vector<std::vector<HoleImage>> groups =
      same_holes(find_in_all(pictures, boards, cameras->adjusted, options));
  std::ranges::sort(groups, {}, [](const std::vector<HoleImage>& g) {
    return std::pair(g.front().face_mm.x(), g.front().face_mm.y());
  });
  PhotoReading reading;
  std::vector<HoleTie> ties;
  for (const std::vector<HoleImage>& group : groups) {
    const std::vector<HoleImage> images = counting(group);
    HoleTie tie;
    for (const HoleImage& image : images) tie.seen.push_back({image.photo, image.pixel, image.pixel_cov_px2});
    ties.push_back(tie);
    reading.holes.push_back(describe(images, scale_sigma(cameras->adjusted)));
    doubt_with_most(group, reading.holes.back());
    reading.holes.back().id = fmt::format("H{}", reading.holes.size());
  }
  Result<AdjustedPhotos> adjusted = adjust_photos(boards, cameras->sights, ties, options.cameras);
  if (!adjusted) return adjusted.problems();
  reading.adjusted = *std::move(adjusted);
  judge(reading);
  return reading;
}

MeasuredFace measured_face(const PhotoReading& reading) {
  MeasuredFace face;
  std::vector<Eigen::Index> rows;
  for (std::size_t h = 0; h < reading.holes.size(); ++h) {
    const PhotoHole& hole = reading.holes[h];
    if (hole.doubtful) continue;
    const auto row = 2 * static_cast<Eigen::Index>(h);
    rows.insert(rows.end(), {row, row + 1});
    face.holes.push_back({.id = hole.id,
                          .centre_mm = hole.centre_mm,
                          .centre_cov_mm2 = reading.adjusted.covariance_mm2.block<2, 2>(row, row),
                          .diameter_mm = hole.sized() ? std::optional(hole.bore_diameter_mm) : std::nullopt,
                          .diameter_sigma_mm = hole.bore_sigma_mm,
                          .ovality_mm = hole.oval_mm,
                          .ovality_axis_rad = hole.oval_axis_rad});
  }
  face.covariance_mm2 = reading.adjusted.covariance_mm2(rows, rows);
  return face;
}

}  // namespace fairhole::photo
