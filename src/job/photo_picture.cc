// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "photo_picture.h"

#include <cmath>

#include "fairhole/photo/flat_picture.h"
#include "part_frame.h"

namespace fairhole::job {
namespace {

constexpr double kMarginMm = 12.0, kAboutHolesMm = 35.0;
constexpr double kAboutAllMm = 60.0;   // about holes and sheets: the part's datum corner is mostly within
constexpr double kFlatPixels = 4.0e6;  // enough to see a rim's edge after zooming
constexpr int kQuality = 72;

std::vector<photo::View> views_of(const PhotoFiles& files) {
  std::vector<photo::View> views;
  for (const photo::PhotoFit& fit : files.reading.adjusted.photos) views.push_back(fit.view);
  return views;
}

SeenHole seen_hole(const PhotoFiles& files, std::size_t index, const FlatView& view) {
  const photo::PhotoHole& hole = files.reading.holes[index];
  const auto row = 2 * static_cast<Eigen::Index>(index);
  const Eigen::Matrix2d turn = view.frame_from_world.linear();
  const auto name = view.names.find(hole.id);
  SeenHole seen;
  if (name != view.names.end()) seen.id = name->second;
  seen.centre_mm = view.frame_from_world * hole.centre_mm;
  seen.cov_mm2 = turn * files.reading.adjusted.covariance_mm2.block<2, 2>(row, row) * turn.transpose();
  seen.diameter_mm = hole.bore_diameter_mm;
  seen.rim_diameter_mm = hole.rim_diameter_mm;
  seen.doubtful = hole.doubtful;
  return seen;
}

}  // namespace

Result<PhotoFiles> answer_photos(const PhotoRequest& request) {
  Problems problems;
  const PhotoTask task = photo_task(request, problems);
  Result<PhotoFiles> files = read_photo_files(task, std::move(problems));
  if (!files || (!request.edges && request.datum.empty())) return files;
  const Result<PartFrame> frame =
      request.edges ? frame_by_edges(*files) : frame_by_holes(*files, request.datum[0], request.datum[1]);
  if (!frame) return frame.problems();
  files->frame_from_world = frame->frame_from_world;
  for (const EdgeTie& edge : frame->edges)
    files->edges_mm.emplace_back(frame->frame_from_world * edge.a_mm, frame->frame_from_world * edge.b_mm);
  std::vector<std::string>& warnings = files->reading.adjusted.warnings;
  warnings.insert(warnings.end(), frame->words.begin(), frame->words.end());
  return files;
}

Result<std::string> photo_picture(const PhotoFiles& files) {
  // The reading lies in its frame already: its holes are drawn as they are.
  FlatView view;
  for (const photo::PhotoHole& hole : files.reading.holes) view.names[hole.id] = hole.id;
  FacePicture picture = lay_flat(files, view);
  picture.title = "Frame of " + files.reading.adjusted.frame;
  for (const photo::Picture& one : files.pictures)
    picture.source += (picture.source.empty() ? "" : ", ") + one.name;
  picture.edges_mm = files.edges_mm;
  return face_picture_svg(picture);
}

FlatFile flat_file(const PhotoFiles& files) {
  std::vector<Eigen::Vector2d> shown;
  for (const photo::PhotoHole& hole : files.reading.holes) shown.push_back(hole.centre_mm);
  for (std::size_t b = 0; b < files.reading.adjusted.boards.size(); ++b) {
    const photo::PlacedBoard& placed = files.reading.adjusted.boards[b];
    if (!placed.seen) continue;
    const Motion world_from_board{placed.origin_mm, Angle::radians(placed.turn_rad), false};
    const Eigen::Vector2d paper = files.boards[b].paper_mm;
    for (const Eigen::Vector2d& corner :
         {Eigen::Vector2d(0, 0), Eigen::Vector2d(paper.x(), 0), paper, Eigen::Vector2d(0, paper.y())})
      shown.emplace_back(files.frame_from_world * (world_from_board * corner));
  }
  Eigen::Vector2d low = shown.front(), high = low;
  for (const Eigen::Vector2d& point : shown) {
    low = low.cwiseMin(point);
    high = high.cwiseMax(point);
  }
  low.array() -= kAboutAllMm;
  high.array() += kAboutAllMm;
  const photo::FlatPicture flat =
      photo::flatten(files.pictures, views_of(files), files.frame_from_world.inverse(), low, high,
                     std::sqrt((high - low).prod() / kFlatPixels));
  return {photo::encode_jpeg(flat, kQuality), flat.low_mm, flat.high_mm()};
}

FacePicture lay_flat(const PhotoFiles& files, const FlatView& view) {
  FacePicture picture;
  for (std::size_t i = 0; i < files.reading.holes.size(); ++i)
    picture.holes.push_back(seen_hole(files, i, view));
  std::vector<Eigen::Vector2d> shown = view.outline_mm;
  if (shown.empty())
    for (const SeenHole& hole : picture.holes) shown.push_back(hole.centre_mm);
  Eigen::Vector2d low = shown.front(), high = low;
  for (const Eigen::Vector2d& point : shown) {
    low = low.cwiseMin(point);
    high = high.cwiseMax(point);
  }
  const Eigen::Vector2d margin =
      Eigen::Vector2d::Constant(view.outline_mm.empty() ? kAboutHolesMm : kMarginMm);
  low -= margin;
  high += margin;
  const double mm_per_px = std::sqrt((high - low).prod() / view.most_pixels);
  const photo::FlatPicture flat =
      photo::flatten(files.pictures, views_of(files),
                     (view.frame_from_world * files.frame_from_world).inverse(), low, high, mm_per_px);
  picture.jpeg = photo::encode_jpeg(flat, kQuality);
  picture.low_mm = flat.low_mm;
  picture.high_mm = flat.high_mm();
  picture.outline_mm = view.outline_mm;
  for (const EdgeTie& edge : view.edges)
    picture.edges_mm.emplace_back(view.frame_from_world * edge.a_mm, view.frame_from_world * edge.b_mm);
  return picture;
}

}  // namespace fairhole::job
