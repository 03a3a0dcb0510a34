// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "sights.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <opencv2/core/utility.hpp>
#include <opencv2/imgproc.hpp>
#include <set>

#include "dictionary.h"
#include "edge_fit.h"
#include "robust.h"

namespace fairhole::photo {
namespace {

constexpr double kKnownLensSearchPx = 3.0;
constexpr double kMostBlurPx =
    2.6;  // of the printed edges; beyond it claimed accuracies of holes do not hold
constexpr double kLeastBoard = 0.3;    // of a board: less leaves its slant and its scale open
constexpr double kFadeSigmas = 2.56;   // from a tenth of a blurred step to nine tenths of it
constexpr double kAllBlurredPx = 8.0;  // markers of that blur are not found
constexpr double kBorderPx = 4.0;      // markers that touch the picture's border come back clipped

/// Both measured spots of one printed edge.
void add_sights(const EdgeFit& fit, const EdgeGuess& guess, int board, const PrintedEdge& edge,
                std::vector<EdgeSight>& out) {
  const Eigen::Vector2d n = towards_light(guess);
  for (const EdgeFit::At& at : {fit.first, fit.second}) {
    const double bend = 4.0 * guess.bow_px * at.along * (1.0 - at.along);
    out.push_back({board, edge.feature, edge.a_mm + at.along * (edge.b_mm - edge.a_mm),
                   guess.a_px + at.along * (guess.b_px - guess.a_px) + (at.offset_px + bend) * n, n,
                   at.sigma_px, fit.blur_px, fit.overexposed});
  }
}

/// Where a printed edge is expected in the picture.
struct ExpectedEdge {
  EdgeGuess guess;
  int board = 0;
  PrintedEdge edge;
};

/// Both spots of each edge that is to be seen, in the order given whatever the number of threads.
std::vector<std::vector<EdgeSight>> measure_expected(const Picture& picture,
                                                     const std::vector<ExpectedEdge>& expected) {
  std::vector<std::vector<EdgeSight>> sights(expected.size());
  cv::parallel_for_({0, static_cast<int>(expected.size())}, [&](const cv::Range& range) {
    for (int k = range.start; k < range.end; ++k) {
      const ExpectedEdge& e = expected[static_cast<std::size_t>(k)];
      if (const auto fit = fit_edge(picture, e.guess))
        add_sights(*fit, e.guess, e.board, e.edge, sights[static_cast<std::size_t>(k)]);
    }
  });
  return sights;
}

struct MarkerPlace {
  int board = 0;
  std::size_t marker = 0;
};

std::map<int, MarkerPlace> places_of(std::span<const Board> boards, const std::string& dictionary) {
  std::map<int, MarkerPlace> places;
  for (std::size_t b = 0; b < boards.size(); ++b)
    if (boards[b].dictionary == dictionary)
      for (std::size_t m = 0; m < boards[b].markers.size(); ++m)
        places[boards[b].markers[m].id] = {static_cast<int>(b), m};
  return places;
}

bool within(const Picture& picture, const RoughMarker& marker) {
  return std::ranges::all_of(marker.corners_px, [&](const Eigen::Vector2d& c) {
    return picture.holds(c.x(), c.y(), kBorderPx + marker.error_px);
  });
}

/// What the search of one picture brought.
struct Search {
  BoardSights sights;
  std::set<int> strange;       // ids of no board
  std::set<int> twice;         // ids in two places
  std::size_t unmeasured = 0;  // markers known by their code whose edges could not be measured
};

void expect_marker(const RoughMarker& rough, const MarkerPlace& place, const Board& board, Search& search,
                   std::vector<ExpectedEdge>& expected) {
  const BoardMarker& marker = board.markers[place.marker];
  for (std::size_t c = 0; c < 4; ++c)
    search.sights.corners.push_back({place.board, marker.corners_mm[c], rough.corners_px[c]});
  const double side_mm = (marker.corners_mm[1] - marker.corners_mm[0]).norm();
  const double cell = 1.0 / (dictionary_facts(board.dictionary)->bits + 2);
  for (std::size_t c = 0; c < 4; ++c) {
    const EdgeGuess guess{.a_px = rough.corners_px[c],
                          .b_px = rough.corners_px[(c + 1) % 4],
                          .clear_px = cell * (rough.corners_px[(c + 1) % 4] - rough.corners_px[c]).norm(),
                          .search_px = 2.0 * rough.error_px};
    const PrintedEdge edge{static_cast<int>(place.marker), marker.corners_mm[c],
                           marker.corners_mm[(c + 1) % 4], cell * side_mm};
    expected.push_back({guess, place.board, edge});
  }
}

void search_dictionary(const Picture& picture, std::span<const Board> boards, const std::string& dictionary,
                       Search& search) {
  const std::map<int, MarkerPlace> places = places_of(boards, dictionary);
  const std::vector<RoughMarker> found = search_markers(picture, dictionary);
  std::set<int> seen;
  for (const RoughMarker& rough : found)
    if (places.contains(rough.id) && !seen.insert(rough.id).second) search.twice.insert(rough.id);
  std::vector<ExpectedEdge> expected;
  for (const RoughMarker& rough : found) {
    const auto place = places.find(rough.id);
    if (place == places.end()) {
      search.strange.insert(rough.id);
    } else if (!search.twice.contains(rough.id) && within(picture, rough)) {
      expect_marker(rough, place->second, boards[static_cast<std::size_t>(place->second.board)], search,
                    expected);
    }
  }
  const auto sights = measure_expected(picture, expected);
  for (std::size_t marker = 0; marker < sights.size(); marker += 4) {
    const std::size_t before = search.sights.edges.size();
    for (std::size_t c = 0; c < 4; ++c)
      search.sights.edges.insert(search.sights.edges.end(), sights[marker + c].begin(),
                                 sights[marker + c].end());
    if (search.sights.edges.size() == before) ++search.unmeasured;
  }
}

double blur_of(const BoardSights& sights) {
  std::vector<double> blurs;
  for (const EdgeSight& edge : sights.edges) blurs.push_back(edge.blur_px);
  return blurs.empty() ? 0.0 : middle_of(blurs);
}

/// How much of the boards is seen, in boards: two halves are one.
double boards_seen(std::span<const Board> boards, const BoardSights& sights) {
  constexpr double kCornersPerMarker = 4.0;
  double seen = 0.0;
  for (const RoughPoint& corner : sights.corners)
    seen += 1.0 / (kCornersPerMarker *
                   static_cast<double>(boards[static_cast<std::size_t>(corner.board)].markers.size()));
  return seen;
}

/// Blur by the steepest place of a picture: a step of its whole contrast, blurred by b, climbs by
/// contrast / (b sqrt(2 pi)) at most. A lower bound of b; 0 where there is no contrast to speak of.
double least_blur_px(const Picture& picture) {
  constexpr double kReduced = 4.0, kLeastContrast = 0.02, kSteepest = 0.9999, kLow = 0.02, kHigh = 0.98;
  constexpr int kLeastPx = 3 * static_cast<int>(kReduced);
  if (std::min(picture.height_px, picture.width_px) < kLeastPx) return 0.0;
  const cv::Mat light(picture.height_px, picture.width_px, CV_32F, const_cast<float*>(picture.light.data()));
  cv::Mat small, dx, dy, slope;
  cv::resize(light, small, {}, 1.0 / kReduced, 1.0 / kReduced, cv::INTER_AREA);  // noise averaged
  cv::Sobel(small, dx, CV_32F, 1, 0, 3, 1.0 / 8.0);
  cv::Sobel(small, dy, CV_32F, 0, 1, 3, 1.0 / 8.0);
  cv::magnitude(dx, dy, slope);
  const auto share_of = [](const cv::Mat& mat, double share) {
    std::vector<float> values(mat.begin<float>(), mat.end<float>());
    const auto at =
        values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
    std::ranges::nth_element(values, at);
    return static_cast<double>(*at);
  };
  const double contrast = share_of(small, kHigh) - share_of(small, kLow),
               steepest = share_of(slope, kSteepest);
  if (contrast < kLeastContrast || steepest <= 0.0) return 0.0;
  return kReduced * contrast / (steepest * std::sqrt(2.0 * std::numbers::pi));
}

Problem nothing_found(const Picture& picture, const Search& search,
                      const std::set<std::string>& dictionaries) {
  if (!search.strange.empty())
    return {
        codes::kPhotoWrongBoard, picture.name,
        fmt::format("its markers ({}) belong to none of the boards given", fmt::join(search.strange, ", ")),
        "give the BOARD.json of the sheet in the picture"};
  for (const std::string& dictionary : dictionaries)
    if (search_markers(picture, dictionary, true).size() >= 2)
      return {codes::kPhotoMirrored, picture.name, "the board is seen mirrored",
              "do not flip the picture, and print the sheet without \"mirror\""};
  if (least_blur_px(picture) > kAllBlurredPx)
    return {codes::kPhotoBlurred, picture.name, "nothing in it is sharp, and no scale board can be made out",
            "take it again, sharp and evenly lit; rest the camera on something"};
  return {codes::kPhotoNoBoard, picture.name, "no scale board is found in it",
          "photograph a whole board with its white margin, sharp, evenly lit, at least a sixth of the "
          "picture wide"};
}

}  // namespace

Result<BoardSights> sight_boards(const Picture& picture, std::span<const Board> boards) {
  Search search;
  search.sights = {.name = picture.name,
                   .width_px = picture.width_px,
                   .height_px = picture.height_px,
                   .focal = picture.focal,
                   .camera = picture.camera};
  std::set<std::string> dictionaries;
  for (const Board& board : boards) dictionaries.insert(board.dictionary);
  for (const std::string& dictionary : dictionaries) search_dictionary(picture, boards, dictionary, search);
  constexpr std::size_t kChance = 1;  // one id in two places may be a false find; more are a second sheet
  if (search.twice.size() > kChance)
    return Problem{
        codes::kPhotoBoardsAlike, picture.name,
        fmt::format("markers {} are seen twice: two sheets of one number", fmt::join(search.twice, ", ")),
        "use sheets of different numbers (fairhole board --number N)"};
  if (search.sights.corners.empty()) return nothing_found(picture, search, dictionaries);
  if (2 * search.unmeasured > search.sights.corners.size() / 4)
    return Problem{codes::kPhotoBlurred, picture.name,
                   "the board is seen, but its edges are too blurred or too small to be measured",
                   "take it again, sharp and nearer; rest the camera on something"};
  if (boards_seen(boards, search.sights) < kLeastBoard)
    return Problem{codes::kPhotoHalfBoard, picture.name, "too little of a board is seen to go by",
                   "take it again with a whole board in the picture, sharp and lying flat"};
  if (const double blur = blur_of(search.sights); blur > kMostBlurPx)
    return Problem{
        codes::kPhotoBlurred, picture.name,
        fmt::format("the picture is blurred: a printed edge fades over some {:.0f} px, and no hole is "
                    "measured surely in it",
                    kFadeSigmas * blur),
        "take it again, sharp; rest the camera on something"};
  return search.sights;
}

std::vector<EdgeSight> measure_edges(const Picture& picture, const View& view,
                                     std::span<const ExpectedBoard> boards) {
  std::vector<ExpectedEdge> edges;
  for (const ExpectedBoard& expected : boards) {
    const auto seen = [&](const Eigen::Vector2d& designed) {
      const Eigen::Vector2d w = expected.origin_mm + expected.world_from_board * designed;
      return project(view, {w.x(), w.y(), expected.lift_mm});
    };
    for (const PrintedEdge& edge : printed_edges(*expected.board)) {
      const auto a = seen(edge.a_mm), b = seen(edge.b_mm), middle = seen(0.5 * (edge.a_mm + edge.b_mm));
      if (!a || !b || !middle) continue;
      EdgeGuess guess{.a_px = *a, .b_px = *b, .search_px = kKnownLensSearchPx};
      if (!picture.holds(a->x(), a->y(), kBorderPx) || !picture.holds(b->x(), b->y(), kBorderPx)) continue;
      // The print's nearest neighbours foreshorten with the picture across the edge.
      const Eigen::Vector2d along = (edge.b_mm - edge.a_mm).normalized();
      const Eigen::Vector2d aside_mm = edge.clear_mm * Eigen::Vector2d(along.y(), -along.x());
      const auto aside = seen(0.5 * (edge.a_mm + edge.b_mm) + aside_mm);
      if (!aside) continue;
      const Eigen::Vector2d n = towards_light(guess);
      guess.clear_px = std::abs((*aside - *middle).dot(n));
      guess.bow_px = (*middle - 0.5 * (*a + *b)).dot(n);
      edges.push_back({guess, expected.index, edge});
    }
  }
  std::vector<EdgeSight> sights;
  for (const auto& pair : measure_expected(picture, edges))
    sights.insert(sights.end(), pair.begin(), pair.end());
  return sights;
}

}  // namespace fairhole::photo
