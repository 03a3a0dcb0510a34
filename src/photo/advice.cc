// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "advice.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

namespace fairhole::photo {
namespace {

constexpr double kGoodRmsPx = 0.2;          // beyond it something is not modelled
constexpr double kBarSigmas = 3.5;          // a bar reading this far off is a slip
constexpr double kOpenFocal = 0.01;         // sigma of ln focal
constexpr double kLiftThatMattersMm = 0.5;  // with the focal length open, heights leak into places
constexpr double kFewOverexposed = 0.1;     // of the printed edges
constexpr double kMostOfABoard = 0.75;      // of its print; with less, places far from it are less sure

struct Sum {
  double squares = 0.0;
  int count = 0;
  double rms() const { return count > 0 ? std::sqrt(squares / count) : 0.0; }
};

/// Square sum of the misfits of one board in one picture; overexposed edges misfit by themselves.
Sum misfit_of(const BundleInput& input, const Bundle& bundle, std::size_t photo, int board) {
  Sum sum;
  const auto& edges = input.sights[photo].edges;
  for (std::size_t e = 0; e < edges.size(); ++e) {
    if (edges[e].board != board || !input.use[photo][e] || edges[e].overexposed) continue;
    const double misfit = edge_misfit(bundle, static_cast<int>(photo), edges[e]);
    sum.squares += misfit * misfit;
    ++sum.count;
  }
  return sum;
}

void advise_on_flatness(std::span<const Board> boards, const BundleInput& input, const Bundle& bundle,
                        std::vector<std::string>& words) {
  for (std::size_t p = 0; p < input.sights.size(); ++p)
    for (std::size_t b = 0; b < boards.size(); ++b)
      if (const double rms = misfit_of(input, bundle, p, static_cast<int>(b)).rms(); rms > kGoodRmsPx)
        words.push_back(
            fmt::format("{}: board {} fits only to {:.2f} px: the sheet is curled, it moved between "
                        "pictures, or it is another "
                        "print than the file says; tape it down flat and take the picture again",
                        input.sights[p].name, boards[b].name, rms));
}

void advise_on_bars(std::span<const Board> boards, const Bundle& bundle, std::vector<std::string>& words) {
  for (std::size_t b = 0; b < boards.size(); ++b) {
    const BoardState& state = bundle.boards[b];
    if (!state.placed) continue;
    const auto check = [&](const std::vector<Prior>& bars, double scale, const char* axis) {
      if (bars.empty())
        words.push_back(fmt::format(
            "board {}: nobody measured its {} check bar; printers are off by up to 0.5 %, 5 mm in a metre "
            "(--check {}=X,Y)",
            boards[b].name, axis, boards[b].name));
      for (const Prior& bar : bars)
        if (std::abs(scale - bar.mean) > kBarSigmas * bar.sigma)
          words.push_back(
              fmt::format("board {}: the {} check bar was read as {:.2f} % of its design, the pictures say "
                          "{:.2f} %: read "
                          "it again, and look whether the picture was stretched",
                          boards[b].name, axis, 100.0 * bar.mean, 100.0 * scale));
    };
    check(state.bars_x, state.value[kScaleX], "x");
    check(state.bars_y, state.value[kScaleY], "y");
  }
}

void advise_on_focal(std::span<const BoardSights> sights, const Bundle& bundle,
                     const AdjustedPhotos& adjusted, std::vector<std::string>& words) {
  double lift = 0.0;
  for (const PlacedBoard& board : adjusted.boards)
    if (board.seen) lift = std::max(lift, std::abs(board.lift_mm));
  for (std::size_t l = 0; l < bundle.lenses.size(); ++l)
    for (std::size_t p = 0; p < bundle.photos.size(); ++p) {
      if (bundle.photos[p].lens != static_cast<int>(l)) continue;
      const double sigma = adjusted.photos[p].focal_sigma_px / adjusted.photos[p].view.lens.focal_px;
      if (sigma > kOpenFocal && lift > kLiftThatMattersMm)
        words.push_back(fmt::format(
            "{}: the focal length is known to {:.1f} % only, because height and focal length look alike from "
            "straight above, and the print lies {:.1f} mm off the metal's face; lay the board on the face, "
            "or "
            "take a second picture from the side",
            sights[p].name, 100.0 * sigma, lift));
      break;  // one picture speaks for its lens
    }
}

void advise_on_light(const BundleInput& input, std::vector<std::string>& words) {
  for (const BoardSights& sights : input.sights) {
    const auto white = std::ranges::count_if(sights.edges, &EdgeSight::overexposed);
    if (static_cast<double>(white) > kFewOverexposed * static_cast<double>(sights.edges.size()))
      words.push_back(fmt::format(
          "{}: the paper is overexposed, white without shades, and its printed edges tell less than "
          "they could, as the holes' uncertainty says; take the picture again, darker",
          sights.name));
  }
}

/// What of a board's print is seen in a picture, and on which side of its middle most of the rest lies.
struct Cover {
  double seen = 0.0;  ///< share of its markers and crosses
  const char* hidden_side = "";
};

Cover cover_of(const Board& board, const std::set<int>& seen_features) {
  std::set<int> features, seen;
  std::array<int, 4> hidden{};
  for (const PrintedEdge& edge : printed_edges(board)) {
    if (!features.insert(edge.feature).second) continue;
    if (seen_features.contains(edge.feature)) {
      seen.insert(edge.feature);
      continue;
    }
    const Eigen::Vector2d off = edge.a_mm - 0.5 * board.paper_mm;
    ++hidden[off.x() < 0.0 ? 0 : 1];
    ++hidden[off.y() > 0.0 ? 2 : 3];
  }
  constexpr std::array<const char*, 4> kSides{"left", "right", "upper", "lower"};
  const auto most = static_cast<std::size_t>(std::ranges::max_element(hidden) - hidden.begin());
  return {static_cast<double>(seen.size()) / static_cast<double>(std::max<std::size_t>(features.size(), 1)),
          kSides[most]};
}

/// A board that is partly hidden, or partly outside the picture, still gives a place, and the covariance
/// knows how good a one; but far from what is seen it is an extrapolation.
void advise_on_cover(std::span<const Board> boards, const BundleInput& input,
                     std::vector<std::string>& words) {
  for (std::size_t p = 0; p < input.sights.size(); ++p) {
    std::vector<std::set<int>> seen(boards.size());
    const auto& edges = input.sights[p].edges;
    for (std::size_t e = 0; e < edges.size(); ++e)
      if (input.use[p][e]) seen[static_cast<std::size_t>(edges[e].board)].insert(edges[e].feature);
    double sum = 0.0;  // two halves are a whole
    std::size_t most = 0;
    std::vector<Cover> covers;
    for (std::size_t b = 0; b < boards.size(); ++b) {
      covers.push_back(cover_of(boards[b], seen[b]));
      sum += covers[b].seen;
      if (covers[b].seen > covers[most].seen) most = b;
    }
    if (sum < kMostOfABoard)
      words.push_back(fmt::format(
          "{}: only {:.0f} % of what is printed on board {} is seen, the rest is hidden or outside "
          "the picture, mostly in its {} half; holes far from what is seen are less sure, as their "
          "uncertainty says; where that is too much, take the picture again with the whole board",
          input.sights[p].name, 100.0 * covers[most].seen, boards[most].name, covers[most].hidden_side));
  }
}

}  // namespace

std::vector<std::string> advise(std::span<const Board> boards, std::span<const BoardSights> sights,
                                const BundleInput& input, const Bundle& bundle,
                                const AdjustedPhotos& adjusted) {
  std::vector<std::string> words;
  advise_on_cover(boards, input, words);
  advise_on_light(input, words);
  advise_on_flatness(boards, input, bundle, words);
  advise_on_bars(boards, bundle, words);
  advise_on_focal(sights, bundle, adjusted, words);
  return words;
}

}  // namespace fairhole::photo
