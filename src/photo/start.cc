// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "start.h"

#include <fmt/format.h>

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <opencv2/calib3d.hpp>
#include <opencv2/core/utility.hpp>
#include <optional>
#include <set>

namespace fairhole::photo {
namespace {

// Priors. Where a picture's file says nothing of the lens: phones and cameras lie between 13 and 77 mm of the
// 35 mm format, 0.36 to 2.1 of the long side.
constexpr double kUsualFocal = 0.85, kUsualFocalSigma = 0.5;  // of the long side; of its logarithm
constexpr double kStatedFocalSigma = 0.01;
constexpr double kCentreSigma = 0.004;  // of the width
constexpr double kRadial1Sigma = 0.1, kRadial2Sigma = 0.05;
constexpr double kTangentSigma = 5e-4;
constexpr double kStretchSigma = 0.3;  // where it is asked for
constexpr double kScaleSigma = 0.005;  // office printers: 0.1 to 0.5 %, differing in x and y
constexpr std::array kFocalStarts{0.5, 0.85, 1.4, 2.3};
constexpr int kStartSteps = 30;
constexpr std::size_t kLeastCorners = 4;

LensState lens_prior(const BoardSights& sight, const PhotoOptions& options) {
  const double long_side = std::max(sight.width_px, sight.height_px);
  FocalHint focal{kUsualFocal * long_side, kUsualFocalSigma};
  if (sight.focal) focal = *sight.focal;
  if (options.focal_px) focal = {*options.focal_px, kStatedFocalSigma};
  LensState lens;
  lens.prior[kLnFocal] = {std::log(focal.focal_px), focal.sigma_ratio};
  lens.prior[kCentreX] = {(sight.width_px - 1) / 2.0, kCentreSigma * long_side};
  lens.prior[kCentreY] = {(sight.height_px - 1) / 2.0, kCentreSigma * long_side};
  lens.prior[kRadial1] = {0.0, kRadial1Sigma};
  lens.prior[kRadial2] = {0.0, kRadial2Sigma};
  lens.prior[kLnStretch] = {0.0, kStretchSigma};
  lens.prior[kTangent1] = lens.prior[kTangent2] = {0.0, kTangentSigma};
  for (std::size_t i = 0; i < lens.value.size(); ++i) lens.value[i] = lens.prior[i].mean;
  return lens;
}

BoardState board_prior(const Board& board, const PhotoOptions& options) {
  BoardState state;
  const auto lift = options.lifts.find(board.name);
  const Lift given = lift == options.lifts.end() ? Lift{} : lift->second;
  state.prior[kBoardLift] = options.marks_on_sheet ? Prior{0.0, 0.0} : Prior{given.mm, given.sigma_mm};
  state.prior[kScaleX] = state.prior[kScaleY] = {1.0, kScaleSigma};
  state.value[kBoardLift] = state.prior[kBoardLift].mean;
  for (const BarReading& reading : options.bars) {
    if (reading.board != board.name) continue;
    for (const CheckBar& bar : board.check_bars)
      (bar.along_x ? state.bars_x : state.bars_y)
          .push_back({(bar.along_x ? reading.x_mm : reading.y_mm) / bar.length_mm,
                      reading.sigma_mm / bar.length_mm});
  }
  const auto mean = [](const std::vector<Prior>& bars) {
    double sum = 0.0;
    for (const Prior& bar : bars) sum += bar.mean;
    return bars.empty() ? 1.0 : sum / static_cast<double>(bars.size());
  };
  state.value[kScaleX] = mean(state.bars_x);
  state.value[kScaleY] = mean(state.bars_y);
  return state;
}

/// A read bar replaces the printer's usual scale.
void drop_replaced_priors(BoardState& state) {
  if (!state.bars_x.empty()) state.prior[kScaleX].sigma = 0.0;
  if (!state.bars_y.empty()) state.prior[kScaleY].sigma = 0.0;
}

bool same_lens(const BoardSights& a, const BoardSights& b) {
  const bool known = !a.camera.empty() || (a.camera.empty() && b.camera.empty());
  return known && a.camera == b.camera && a.width_px == b.width_px && a.height_px == b.height_px;
}

struct Correspondences {
  std::vector<cv::Point3d> world;
  std::vector<cv::Point2d> pixel;
};

Correspondences corners_of(const BoardSights& sight, int board, const BoardState& state) {
  Correspondences out;
  for (const RoughPoint& corner : sight.corners) {
    if (corner.board != board) continue;
    const Eigen::Vector3d w = world_of(state, corner.board_mm);
    out.world.emplace_back(w.x(), w.y(), w.z());
    out.pixel.emplace_back(corner.pixel.x(), corner.pixel.y());
  }
  return out;
}

/// Both poses of a plane (Collins and Bartoli 2014, infinitesimal plane-based pose estimation).
std::vector<std::array<double, 6>> plane_poses(const Correspondences& points, const View& view) {
  const double f = view.lens.focal_px;
  const cv::Matx33d k(f, 0, view.lens.centre_px.x(), 0, f, view.lens.centre_px.y(), 0, 0, 1);
  std::vector<cv::Mat> turns, origins;
  // IPPE wants the plane at z = 0 and its own pose back: shifted by the lift afterwards.
  const double lift = points.world.front().z;
  std::vector<cv::Point3d> flat = points.world;
  for (cv::Point3d& p : flat) p.z = 0.0;
  try {
    cv::solvePnPGeneric(flat, points.pixel, k, cv::noArray(), turns, origins, false, cv::SOLVEPNP_IPPE);
  } catch (const cv::Exception&) {
    return {};
  }
  std::vector<std::array<double, 6>> poses;
  for (std::size_t i = 0; i < turns.size(); ++i) {
    const Eigen::Vector3d r(turns[i].at<double>(0), turns[i].at<double>(1), turns[i].at<double>(2));
    Eigen::Vector3d t(origins[i].at<double>(0), origins[i].at<double>(1), origins[i].at<double>(2));
    if (!r.allFinite() || !t.allFinite()) continue;  // IPPE can fail without saying so
    if (r.norm() > 0.0) t -= lift * (Eigen::AngleAxisd(r.norm(), r.normalized()) * Eigen::Vector3d::UnitZ());
    poses.push_back({r.x(), r.y(), r.z(), t.x(), t.y(), t.z()});
  }
  return poses;
}

/// The board with most corners in a picture; -1 when it shows too little.
int main_board(const BoardSights& sight, std::size_t boards) {
  std::vector<std::size_t> count(boards, 0);
  for (const RoughPoint& corner : sight.corners) ++count[static_cast<std::size_t>(corner.board)];
  const auto most = std::ranges::max_element(count);
  return *most < kLeastCorners ? -1 : static_cast<int>(most - count.begin());
}

/// One picture and one board, the board taken as the world.
struct SinglePhoto {
  std::array<double, kLensUnknowns> lens{};
  std::array<double, 6> pose{};
  double cost = 0.0;
  int board = -1;
};

std::optional<SinglePhoto> best_alone(const BoardSights& sight, const LensState& prior, int board,
                                      const std::vector<BoardState>& boards) {
  Bundle alone;
  alone.lenses = {prior};
  alone.photos.resize(1);
  alone.boards = boards;
  for (BoardState& state : alone.boards) state.placed = false;
  BoardState& own = alone.boards[static_cast<std::size_t>(board)];
  own.placed = true;
  alone.frame = board;
  const Correspondences points = corners_of(sight, board, own);
  const EdgeUse use{std::vector<bool>(sight.edges.size(), true)};
  std::vector<double> focals;
  if (prior.prior[kLnFocal].sigma < 0.1)
    focals = {std::exp(prior.prior[kLnFocal].mean)};
  else
    for (const double start : kFocalStarts)
      focals.push_back(start * std::max(sight.width_px, sight.height_px));
  std::vector<Bundle> trials;
  for (const double focal : focals) {
    Bundle start = alone;
    start.lenses[0].value[kLnFocal] = std::log(focal);
    for (const auto& pose : plane_poses(points, view_of(start, 0))) {
      trials.push_back(start);
      trials.back().photos[0].pose = pose;
      trials.back().photos[0].placed = true;
    }
  }
  std::vector<std::optional<double>> costs(trials.size());
  cv::parallel_for_({0, static_cast<int>(trials.size())}, [&](const cv::Range& range) {
    for (int k = range.start; k < range.end; ++k) {
      const auto trial = static_cast<std::size_t>(k);
      costs[trial] = solve_bundle({std::span(&sight, 1), use}, true, kStartSteps, trials[trial]);
    }
  });
  std::optional<SinglePhoto> best;
  for (std::size_t k = 0; k < trials.size(); ++k)
    if (costs[k] && (!best || *costs[k] < best->cost))
      best = SinglePhoto{trials[k].lenses[0].value, trials[k].photos[0].pose, *costs[k], board};
  return best;
}

/// Where a board lies, from a placed picture: its corners met with its plane, then turned and shifted to fit.
bool place_board(const Bundle& bundle, int photo, const BoardSights& sight, int index, BoardState& state) {
  const View view = view_of(bundle, photo);
  std::vector<Eigen::Vector2d> from, to;
  for (const RoughPoint& corner : sight.corners) {
    if (corner.board != index) continue;
    const auto met = meet_plane(view, corner.pixel, state.value[kBoardLift]);
    if (!met) continue;
    from.emplace_back(
        corner.board_mm.cwiseProduct(Eigen::Vector2d(state.value[kScaleX], state.value[kScaleY])));
    to.push_back(*met);
  }
  if (from.size() < kLeastCorners) return false;
  // The turn that fits best, closed form in the plane; then the shift between the middles.
  Eigen::Vector2d from_middle = Eigen::Vector2d::Zero(), to_middle = Eigen::Vector2d::Zero();
  const double count = static_cast<double>(from.size());
  for (std::size_t i = 0; i < from.size(); ++i) {
    from_middle += from[i] / count;
    to_middle += to[i] / count;
  }
  double along = 0.0, across = 0.0;
  for (std::size_t i = 0; i < from.size(); ++i) {
    const Eigen::Vector2d a = from[i] - from_middle, b = to[i] - to_middle;
    along += a.dot(b);
    across += a.x() * b.y() - a.y() * b.x();
  }
  const double turn = std::atan2(across, along);
  const Eigen::Vector2d shift = to_middle - Eigen::Rotation2Dd(turn) * from_middle;
  state.value[kBoardX] = shift.x();
  state.value[kBoardY] = shift.y();
  state.value[kBoardTurn] = turn;
  return true;
}

/// A picture over one placed board: its pose over the board alone, carried into the world.
void place_photo(const SinglePhoto& alone, const BoardState& board, PhotoState& photo) {
  const auto rotation = [](double x, double y, double z) {
    const Eigen::Vector3d r(x, y, z);
    return r.norm() > 0.0 ? Eigen::AngleAxisd(r.norm(), r.normalized()).toRotationMatrix()
                          : Eigen::Matrix3d(Eigen::Matrix3d::Identity());
  };
  const Eigen::Matrix3d camera_from_board = rotation(alone.pose[0], alone.pose[1], alone.pose[2]);
  const Eigen::Matrix3d world_from_board = rotation(0.0, 0.0, board.value[kBoardTurn]);
  const Eigen::Vector3d shift(board.value[kBoardX], board.value[kBoardY], 0.0);
  const Eigen::Matrix3d camera_from_world = camera_from_board * world_from_board.transpose();
  const Eigen::Vector3d origin =
      Eigen::Vector3d(alone.pose[3], alone.pose[4], alone.pose[5]) - camera_from_world * shift;
  const Eigen::AngleAxisd turn(camera_from_world);
  const Eigen::Vector3d r = turn.angle() * turn.axis();
  photo.pose = {r.x(), r.y(), r.z(), origin.x(), origin.y(), origin.z()};
  photo.placed = true;
}

/// A picture's main board may hang on another board, placed already, that the picture shows as well.
void place_main_board(const BoardSights& sight, const SinglePhoto& alone, int photo, Bundle& bundle) {
  BoardState& main = bundle.boards[static_cast<std::size_t>(alone.board)];
  Bundle local = bundle;  // the picture over its main board, as if that were the frame
  local.photos[static_cast<std::size_t>(photo)].pose = alone.pose;
  for (std::size_t b = 0; b < bundle.boards.size() && !main.placed; ++b) {
    const BoardState& known = bundle.boards[b];
    BoardState seen = known;
    if (!known.placed || !place_board(local, photo, sight, static_cast<int>(b), seen)) continue;
    const double turn = known.value[kBoardTurn] - seen.value[kBoardTurn];
    const Eigen::Vector2d shift =
        Eigen::Vector2d(known.value[kBoardX], known.value[kBoardY]) -
        Eigen::Rotation2Dd(turn) * Eigen::Vector2d(seen.value[kBoardX], seen.value[kBoardY]);
    main.value[kBoardX] = shift.x();
    main.value[kBoardY] = shift.y();
    main.value[kBoardTurn] = turn;
    main.placed = true;
  }
}

/// From the frame board on: pictures over placed boards, and boards in placed pictures, until nothing more
/// hangs together.
void hang_together(std::span<const BoardSights> sights, const std::vector<SinglePhoto>& alone,
                   Bundle& bundle) {
  bool more = true;
  while (more) {
    more = false;
    for (std::size_t p = 0; p < sights.size(); ++p) {
      const int photo = static_cast<int>(p);
      if (!bundle.photos[p].placed) {
        const BoardState& main = bundle.boards[static_cast<std::size_t>(alone[p].board)];
        if (!main.placed) place_main_board(sights[p], alone[p], photo, bundle);
        if (!main.placed) continue;
        place_photo(alone[p], main, bundle.photos[p]);
        more = true;
      }
      for (std::size_t b = 0; b < bundle.boards.size(); ++b)
        if (!bundle.boards[b].placed &&
            place_board(bundle, photo, sights[p], static_cast<int>(b), bundle.boards[b]))
          bundle.boards[b].placed = more = true;
    }
  }
}

int frame_board(std::span<const Board> boards, std::span<const BoardSights> sights,
                const PhotoOptions& options) {
  std::set<int> seen;
  for (const BoardSights& sight : sights)
    for (const RoughPoint& corner : sight.corners) seen.insert(corner.board);
  for (const int b : seen)
    if (options.frame.empty() || boards[static_cast<std::size_t>(b)].name == options.frame) return b;
  return -1;
}

}  // namespace

Result<Bundle> start_bundle(std::span<const Board> boards, std::span<const BoardSights> sights,
                            const PhotoOptions& options) {
  Bundle bundle;
  bundle.frame = frame_board(boards, sights, options);
  if (bundle.frame < 0)
    return Problem{codes::kPhotoFrame, "--frame",
                   fmt::format("board {} is to give the frame, and no picture shows it", options.frame),
                   "name a board that is seen, or photograph this one too"};
  for (const Board& board : boards) {
    bundle.boards.push_back(board_prior(board, options));
    drop_replaced_priors(bundle.boards.back());
  }
  std::vector<SinglePhoto> alone;
  Problems problems;
  std::vector<std::size_t> first_of_lens;
  for (std::size_t p = 0; p < sights.size(); ++p) {
    const LensState prior = lens_prior(sights[p], options);
    const int main = main_board(sights[p], boards.size());
    const auto found = main < 0 ? std::nullopt : best_alone(sights[p], prior, main, bundle.boards);
    if (!found) {
      problems.push_back({main < 0 ? codes::kPhotoHalfBoard : codes::kPhotoNotSettled, sights[p].name,
                          main < 0 ? "too little of a board is seen to go by"
                                   : "no place of the camera explains the board as seen",
                          "take it again with a whole board in the picture, sharp and lying flat"});
      continue;
    }
    alone.push_back(*found);
    std::size_t lens = 0;
    while (lens < first_of_lens.size() && !same_lens(sights[first_of_lens[lens]], sights[p])) ++lens;
    if (lens == first_of_lens.size()) {
      first_of_lens.push_back(p);
      bundle.lenses.push_back(prior);
      bundle.lenses.back().value = found->lens;
    }
    bundle.photos.push_back({.lens = static_cast<int>(lens)});
  }
  if (!problems.empty()) return problems;
  bundle.boards[static_cast<std::size_t>(bundle.frame)].placed = true;
  hang_together(sights, alone, bundle);
  for (std::size_t p = 0; p < sights.size(); ++p)
    if (!bundle.photos[p].placed)
      problems.push_back({codes::kPhotoApart, sights[p].name,
                          "this picture shares no board with the others, so nothing ties it to them",
                          "take a picture that shows two neighbouring boards, or adjust this one by itself"});
  if (!problems.empty()) return problems;
  return bundle;
}

}  // namespace fairhole::photo
