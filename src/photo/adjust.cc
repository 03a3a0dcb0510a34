// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/adjust.h"

#include <fmt/format.h>

#include <Eigen/Eigenvalues>
#include <Eigen/Geometry>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>

#include "advice.h"
#include "bundle.h"
#include "sights.h"
#include "start.h"
#include "stretch.h"

namespace fairhole::photo {
namespace {

constexpr int kMostSteps = 100;
constexpr double kWildSigmas = 5.0;      // of the fit's own scale: an edge that is another edge
constexpr double kWrongBoardPx = 4.0;    // no sheet of paper is bent as much
constexpr double kWildShare = 0.4;       // more wild edges than that: the layout is another
constexpr double kTangentialGain = 21.;  // chi-square of 2 degrees of freedom, chance 3e-5

EdgeUse all_edges(std::span<const BoardSights> sights) {
  EdgeUse use;
  for (const BoardSights& sight : sights) use.emplace_back(sight.edges.size(), true);
  return use;
}

template <class Visit>
void each_edge(const BundleInput& input, const Bundle& bundle, Visit visit) {
  for (std::size_t p = 0; p < input.sights.size(); ++p) {
    const auto& edges = input.sights[p].edges;
    for (std::size_t e = 0; e < edges.size(); ++e)
      if (bundle.boards[static_cast<std::size_t>(edges[e].board)].placed) visit(p, e, edges[e]);
  }
}

/// Marks the edges that fit far worse than the rest; returns how many changed.
int leave_out_wild(const BundleInput& input, const Bundle& bundle, EdgeUse& use) {
  std::vector<double> sizes;
  each_edge(input, bundle, [&](std::size_t p, std::size_t, const EdgeSight& edge) {
    sizes.push_back(std::abs(edge_misfit(bundle, static_cast<int>(p), edge)) / edge_sigma(bundle, edge));
  });
  if (sizes.empty()) return 0;
  const auto middle = sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2);
  std::ranges::nth_element(sizes, middle);
  const double limit = kWildSigmas * std::max(1.0, 1.4826 * *middle);  // median to sigma of a normal error
  int changed = 0;
  each_edge(input, bundle, [&](std::size_t p, std::size_t e, const EdgeSight& edge) {
    const bool fits =
        std::abs(edge_misfit(bundle, static_cast<int>(p), edge)) / edge_sigma(bundle, edge) <= limit;
    if (fits != use[p][e]) ++changed;
    use[p][e] = fits;
  });
  return changed;
}

struct Misfit {
  double squares = 0.0, weighted = 0.0;
  int used = 0, left_out = 0;
};

Misfit misfit_of(const BundleInput& input, const Bundle& bundle, std::optional<std::size_t> photo = {}) {
  Misfit sum;
  each_edge(input, bundle, [&](std::size_t p, std::size_t e, const EdgeSight& edge) {
    if (photo && p != *photo) return;
    if (!input.use[p][e]) {
      ++sum.left_out;
      return;
    }
    const double misfit = edge_misfit(bundle, static_cast<int>(p), edge);
    sum.squares += misfit * misfit;
    sum.weighted += std::pow(misfit / edge_sigma(bundle, edge), 2);
    ++sum.used;
  });
  return sum;
}

/// Unknowns that the edges determine: poses, growths, board places; lens and scales have priors of their own
/// and count by half.
int edge_dof(const Misfit& misfit, const Bundle& bundle) {
  int boards = 0;
  for (const BoardState& board : bundle.boards) boards += board.placed ? 1 : 0;
  const int unknowns = 7 * static_cast<int>(bundle.photos.size()) + 3 * (boards - 1) +
                       4 * static_cast<int>(bundle.lenses.size()) + boards;
  return std::max(1, misfit.used - unknowns);
}

/// Where a sight line meets the face; near the picture's corner, where a lens not yet well known may fold,
/// as if it had no distortion.
std::optional<Eigen::Vector2d> roughly_met(View view, const Eigen::Vector2d& pixel) {
  if (auto met = meet_plane(view, pixel)) return met;
  view.lens = {view.lens.focal_px, view.lens.centre_px};
  return meet_plane(view, pixel);
}

/// How badly a place suits all pictures of a hole, px; a picture that cannot see it there counts as 1000.
double misfit_at(const HoleTie& hole, const Bundle& bundle, const Eigen::Vector2d& at_mm) {
  constexpr double kOutOfSightPx = 1000.0;
  double sum = 0.0;
  for (const HoleTie::Seen& seen : hole.seen) {
    const auto expected = project(view_of(bundle, seen.photo), {at_mm.x(), at_mm.y(), 0.0});
    sum += expected ? std::min(kOutOfSightPx, (*expected - seen.pixel).norm()) : kOutOfSightPx;
  }
  return sum;
}

/// The start of each hole: of the places that its pictures say singly the one that suits all of them best.
void start_holes(std::span<const HoleTie> holes, Bundle& bundle) {
  bundle.holes.clear();
  for (const HoleTie& hole : holes) {
    Eigen::Vector2d best = Eigen::Vector2d::Zero();
    double least = std::numeric_limits<double>::infinity();
    for (const HoleTie::Seen& seen : hole.seen) {
      const auto met = roughly_met(view_of(bundle, seen.photo), seen.pixel);
      const double misfit = met ? misfit_at(hole, bundle, *met) : least;
      if (misfit >= least) continue;
      least = misfit;
      best = *met;
    }
    bundle.holes.push_back(best);
  }
}

std::optional<Problem> wrong_board(const BundleInput& input, const Bundle& bundle) {
  for (std::size_t p = 0; p < input.sights.size(); ++p) {
    const Misfit misfit = misfit_of(input, bundle, p);
    const double rms = std::sqrt(misfit.squares / std::max(1, misfit.used));
    if (rms > kWrongBoardPx || misfit.left_out > kWildShare * (misfit.used + misfit.left_out))
      return Problem{
          codes::kPhotoWrongBoard, input.sights[p].name,
          fmt::format("its markers do not lie as the board's file says ({:.1f} px off)", rms),
          "give the BOARD.json that belongs to this print, and look whether the picture was stretched or "
          "cut together"};
  }
  return std::nullopt;
}

/// The adjustment of a started bundle: robust, wild edges left out, then plain least squares.
std::optional<Problem> settle(BundleInput& input, EdgeUse& use, bool look_for_stretch, Bundle& bundle) {
  const Problem stuck{codes::kPhotoNotSettled, "", "the pictures and boards do not come to one answer",
                      "look whether each board lies still and flat; try one picture at a time"};
  for (int round = 0; round < 4; ++round) {
    if (!solve_bundle(input, true, kMostSteps, bundle)) return stuck;
    if (leave_out_wild(input, bundle, use) == 0) break;
  }
  if (look_for_stretch)
    if (auto problem = stretched(input, bundle)) return problem;
  if (auto problem = wrong_board(input, bundle)) return problem;
  const auto plain = solve_bundle(input, false, kMostSteps, bundle);
  if (!plain) return stuck;
  const Misfit misfit = misfit_of(input, bundle);
  bundle.edge_factor *= std::max(1.0, std::sqrt(misfit.weighted / edge_dof(misfit, bundle)));
  const auto weighted = solve_bundle(input, false, kMostSteps, bundle);
  if (!weighted) return stuck;
  Bundle with_tangents = bundle;
  with_tangents.tangential = true;
  const auto freer = solve_bundle(input, false, kMostSteps, with_tangents);
  if (freer && 2.0 * (*weighted - *freer) > kTangentialGain) bundle = with_tangents;
  return std::nullopt;
}

/// Holes whose pictures disagree are told, and their weight lowered to what the disagreement shows.
std::vector<PlacedHole> weigh_holes(std::span<const HoleTie> holes, const Bundle& bundle,
                                    std::vector<HoleTie>& weighed) {
  std::vector<PlacedHole> placed;
  for (std::size_t h = 0; h < holes.size(); ++h) {
    PlacedHole hole{.centre_mm = bundle.holes[h]};
    double squares = 0.0;
    std::vector<Eigen::Vector2d> alone;
    for (const HoleTie::Seen& seen : holes[h].seen) {
      const View view = view_of(bundle, seen.photo);
      if (const auto met = meet_plane(view, seen.pixel)) alone.push_back(*met);
      const auto expected = project(view, {hole.centre_mm.x(), hole.centre_mm.y(), 0.0});
      if (!expected) continue;
      const Eigen::Vector2d misfit = seen.pixel - *expected;
      squares += misfit.dot(seen.cov_px2.inverse() * misfit);
    }
    for (const Eigen::Vector2d& a : alone)
      for (const Eigen::Vector2d& b : alone)
        hole.disagreement_mm = std::max(hole.disagreement_mm, (a - b).norm());
    const double dof = 2.0 * (static_cast<double>(holes[h].seen.size()) - 1.0);
    if (dof > 0.0) {
      // Chi-square's upper 1 in 1000, by Wilson and Hilferty (1931).
      const double c = 2.0 / (9.0 * dof);
      hole.disagrees = squares > dof * std::pow(1.0 - c + 3.0902 * std::sqrt(c), 3);
      if (hole.disagrees)
        for (HoleTie::Seen& seen : weighed[h].seen) seen.cov_px2 *= squares / dof;
    }
    placed.push_back(hole);
  }
  return placed;
}

AdjustedPhotos describe(std::span<const Board> boards, const BundleInput& input, const Bundle& bundle,
                        const BundleCovariance& covariance) {
  AdjustedPhotos out;
  out.frame = boards[static_cast<std::size_t>(bundle.frame)].name;
  out.covariance_mm2 = covariance.holes_mm2;
  for (std::size_t p = 0; p < bundle.photos.size(); ++p) {
    PhotoFit fit;
    fit.view = view_of(bundle, static_cast<int>(p));
    fit.focal_sigma_px =
        fit.view.lens.focal_px * covariance.ln_focal_sigma[static_cast<std::size_t>(bundle.photos[p].lens)];
    fit.growth_px = bundle.photos[p].growth;
    const Misfit misfit = misfit_of(input, bundle, p);
    fit.rms_px = std::sqrt(misfit.squares / std::max(1, misfit.used));
    fit.edges_used = misfit.used;
    fit.edges_left_out = misfit.left_out;
    out.photos.push_back(fit);
  }
  for (std::size_t b = 0; b < boards.size(); ++b) {
    const BoardState& state = bundle.boards[b];
    const auto& v = state.value;
    const auto& s = covariance.board_sigma[b];
    out.boards.push_back({state.placed,
                          {v[kBoardX], v[kBoardY]},
                          v[kBoardTurn],
                          v[kBoardLift],
                          s[kBoardLift],
                          {v[kScaleX], v[kScaleY]},
                          {s[kScaleX], s[kScaleY]}});
  }
  const Misfit all = misfit_of(input, bundle);
  out.rms_px = std::sqrt(all.squares / std::max(1, all.used));
  out.dof = edge_dof(all, bundle);
  out.edge_sigma_px = std::sqrt(all.squares / out.dof);
  return out;
}

/// No printer is off by a tenth: the other bar was read, or another unit.
Problems check_bar(std::span<const Board> boards, const BarReading& reading) {
  constexpr double kLikely = 0.1;
  Problems problems;
  for (const Board& board : boards)
    for (const CheckBar& bar : board.check_bars) {
      const double read = bar.along_x ? reading.x_mm : reading.y_mm;
      if (board.name != reading.board || std::abs(read / bar.length_mm - 1.0) < kLikely) continue;
      problems.push_back(
          {codes::kPhotoBarReading, "--check",
           fmt::format("board {}: its {} bar is {:g} mm long as designed, so it cannot have "
                       "measured {:g} mm",
                       board.name, bar.along_x ? "x" : "y", bar.length_mm, read),
           fmt::format("read both bars again, in mm, and write first x, then y: {}=X,Y", board.name)});
    }
  return problems;
}

Problems check_names(std::span<const Board> boards, const PhotoOptions& options) {
  Problems problems;
  const auto check = [&](const std::string& name, const char* option) {
    if (std::ranges::any_of(boards, [&](const Board& b) { return b.name == name; })) return;
    std::string known;
    for (const Board& board : boards) known += (known.empty() ? "" : ", ") + board.name;
    problems.push_back({codes::kPhotoCheckName, option, fmt::format("there is no board \"{}\"", name),
                        fmt::format("the boards given are {}", known)});
  };
  for (const BarReading& bar : options.bars) {
    check(bar.board, "--check");
    append(problems, check_bar(boards, bar));
  }
  for (const auto& [name, lift] : options.lifts) check(name, "--lift");
  if (!options.frame.empty()) check(options.frame, "--frame");
  return problems;
}

Result<AdjustedPhotos> finish(std::span<const Board> boards, std::span<const BoardSights> sights,
                              std::span<const HoleTie> holes, bool look_for_stretch, Bundle& bundle) {
  EdgeUse use = all_edges(sights);
  BundleInput input{sights, use};
  bundle.holes.clear();
  if (auto problem = settle(input, use, look_for_stretch, bundle)) return *problem;
  std::vector<HoleTie> weighed(holes.begin(), holes.end());
  std::vector<PlacedHole> placed;
  if (!holes.empty()) {
    start_holes(holes, bundle);
    input.holes = weighed;
    solve_bundle(input, true, kMostSteps, bundle);
    placed = weigh_holes(holes, bundle, weighed);
    solve_bundle(input, false, kMostSteps, bundle);
    for (std::size_t h = 0; h < placed.size(); ++h) placed[h].centre_mm = bundle.holes[h];
  }
  const auto covariance = bundle_covariance(input, bundle);
  if (!covariance)
    return Problem{codes::kPhotoNotSettled, "", "the pictures and boards do not come to one answer",
                   "look whether each board lies still and flat; try one picture at a time"};
  AdjustedPhotos out = describe(boards, input, bundle, *covariance);
  out.holes = placed;
  out.warnings = advise(boards, sights, input, bundle, out);
  return out;
}

std::vector<ExpectedBoard> expected_boards(std::span<const Board> boards, const AdjustedPhotos& adjusted) {
  std::vector<ExpectedBoard> expected;
  for (std::size_t b = 0; b < boards.size(); ++b) {
    const PlacedBoard& placed = adjusted.boards[b];
    if (!placed.seen) continue;
    expected.push_back({static_cast<int>(b), &boards[b],
                        Eigen::Rotation2Dd(placed.turn_rad).toRotationMatrix() * placed.scale.asDiagonal(),
                        placed.origin_mm, placed.lift_mm});
  }
  return expected;
}

}  // namespace

Result<Cameras> find_cameras(std::span<const Picture> pictures, std::span<const Board> boards,
                             const PhotoOptions& options) {
  Problems problems = check_names(boards, options);
  Cameras cameras;
  for (const Picture& picture : pictures) {
    Result<BoardSights> sights = sight_boards(picture, boards);
    if (sights)
      cameras.sights.push_back(*std::move(sights));
    else
      append(problems, sights.problems());
  }
  if (!problems.empty()) return problems;
  Result<Bundle> bundle = start_bundle(boards, cameras.sights, options);
  if (!bundle) return bundle.problems();
  Result<AdjustedPhotos> first = finish(boards, cameras.sights, {}, true, *bundle);
  if (!first) return first.problems();
  const std::vector<ExpectedBoard> expected = expected_boards(boards, *first);
  for (std::size_t p = 0; p < pictures.size(); ++p)
    cameras.sights[p].edges = measure_edges(pictures[p], first->photos[p].view, expected);
  bundle->edge_factor = 1.0;
  Result<AdjustedPhotos> second = finish(boards, cameras.sights, {}, false, *bundle);
  if (!second) return second.problems();
  cameras.adjusted = *std::move(second);
  return cameras;
}

Result<AdjustedPhotos> adjust_photos(std::span<const Board> boards, std::span<const BoardSights> sights,
                                     std::span<const HoleTie> holes, const PhotoOptions& options) {
  if (const Problems problems = check_names(boards, options); !problems.empty()) return problems;
  Result<Bundle> bundle = start_bundle(boards, sights, options);
  if (!bundle) return bundle.problems();
  return finish(boards, sights, holes, false, *bundle);
}

}  // namespace fairhole::photo
