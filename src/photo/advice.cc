// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "advice.h"

#include <fmt/format.h>

#include <cmath>

namespace fairhole::photo {
namespace {

constexpr double kGoodRmsPx = 0.2;          // beyond it something is not modelled
constexpr double kBarSigmas = 3.5;          // a bar reading this far off is a slip
constexpr double kOpenFocal = 0.01;         // sigma of ln focal
constexpr double kLiftThatMattersMm = 0.5;  // with the focal length open, heights leak into places

struct Sum {
  double squares = 0.0;
  int count = 0;
  double rms() const { return count > 0 ? std::sqrt(squares / count) : 0.0; }
};

/// Square sum of the misfits of one board in one picture.
Sum misfit_of(const BundleInput& input, const Bundle& bundle, std::size_t photo, int board) {
  Sum sum;
  const auto& edges = input.sights[photo].edges;
  for (std::size_t e = 0; e < edges.size(); ++e) {
    if (edges[e].board != board || !input.use[photo][e]) continue;
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

}  // namespace

std::vector<std::string> advise(std::span<const Board> boards, std::span<const BoardSights> sights,
                                const BundleInput& input, const Bundle& bundle,
                                const AdjustedPhotos& adjusted) {
  std::vector<std::string> words;
  advise_on_flatness(boards, input, bundle, words);
  advise_on_bars(boards, bundle, words);
  advise_on_focal(sights, bundle, adjusted, words);
  return words;
}

}  // namespace fairhole::photo
