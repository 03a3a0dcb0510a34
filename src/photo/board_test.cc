// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/board.h"

#include <gtest/gtest.h>

#include <set>

#include "test_scenes.h"

namespace fairhole::photo {
namespace {

std::string message(const Problems& problems) {
  return problems.empty() ? "none" : describe(problems.front());
}

TEST(Board, NumbersShareNoId) {
  for (const std::string paper : {"A4", "A3", "Letter"}) {
    std::set<int> ids;
    for (int number = 0; number < kBoardCount; ++number) {
      const Result<Board> board = make_board(paper, number);
      ASSERT_TRUE(board);
      EXPECT_EQ(board->markers.size(), static_cast<std::size_t>(kMarkersPerBoard));
      EXPECT_EQ(message(check_board(*board, "")), "none");
      for (const BoardMarker& marker : board->markers) EXPECT_TRUE(ids.insert(marker.id).second) << marker.id;
    }
  }
}

/// Nothing printed lies within an edge's clear distance, but at the corner where a cross's squares touch.
TEST(Board, PrintsKeepClearOfEachOther) {
  for (const std::string paper : {"A4", "A3", "Letter"}) {
    const Board board = *make_board(paper, 0);
    for (const PrintedEdge& edge : printed_edges(board)) {
      const Eigen::Vector2d along = (edge.b_mm - edge.a_mm).normalized(), out(-along.y(), along.x());
      const Eigen::Vector2d a = edge.a_mm + edge.clear_mm * along, b = edge.b_mm - edge.clear_mm * along;
      const Eigen::Vector2d low =
          a.cwiseMin(b).cwiseMin((a + edge.clear_mm * out).cwiseMin(b + edge.clear_mm * out));
      const Eigen::Vector2d high =
          a.cwiseMax(b).cwiseMax((a + edge.clear_mm * out).cwiseMax(b + edge.clear_mm * out));
      for (const InkBox& box : printed_boxes(board))
        EXPECT_FALSE(box.black && (box.low_mm.array() < high.array() - 1e-9).all() &&
                     (box.high_mm.array() > low.array() + 1e-9).all())
            << paper << " feature " << edge.feature;
      for (const CheckBar& bar : board.check_bars)
        EXPECT_FALSE((bar.a_mm.cwiseMin(bar.b_mm).array() < high.array()).all() &&
                     (bar.a_mm.cwiseMax(bar.b_mm).array() > low.array()).all())
            << paper << " feature " << edge.feature;
    }
  }
}

TEST(Board, BarsAreAsLongAsTheyClaim) {
  for (const std::string paper : {"A4", "A3", "Letter"}) {
    const Board board = *make_board(paper, 1);
    for (const CheckBar& bar : board.check_bars) {
      EXPECT_NEAR((bar.b_mm - bar.a_mm).norm(), bar.length_mm, 1e-9);
      EXPECT_GE(bar.length_mm, 180.0);
    }
  }
}

TEST(Board, SaysWhatCannotBeLaidOut) {
  const Result<Board> neither = make_board("A5", 20);
  ASSERT_EQ(neither.problems().size(), 2U);
  EXPECT_EQ(describe(neither.problems()[0]),
            "E345 --paper: no board is laid out for paper \"A5\"; write A4, A3 or Letter");
  EXPECT_EQ(describe(neither.problems()[1]),
            "E346 --number: there is no sheet number 20; write a whole number from 0 to 19");
}

TEST(Board, SaysWhatIsWrongWithALayout) {
  Board board = *make_board("A4", 0);
  board.dictionary = "DICT_9X9_50";
  EXPECT_EQ(
      message(check_board({.name = "A4-3", .dictionary = "DICT_5X5_250"}, "b.json: boards[0]")),
      "E691 b.json: boards[0]: board A4-3 has no markers; give the BOARD.json that was written beside the "
      "printed sheet");
  EXPECT_EQ(message(check_board(board, "b.json: boards[0]")).substr(0, 79),
            "E347 b.json: boards[0]: no marker dictionary is called \"DICT_9X9_50\"; write one");
  board = *make_board("A4", 0);
  board.markers[1].id = 250;
  EXPECT_EQ(message(check_board(board, "b")),
            "E347 b: marker 250 is not in DICT_5X5_250, which holds 0 to 249; give the dictionary that the "
            "sheet was "
            "made with");
  board.markers[1].id = 0;
  EXPECT_EQ(message(check_board(board, "b")),
            "E349 b: marker 0 is there twice; each id may stand once on all boards of a job");
  board = *make_board("A4", 0);
  std::swap(board.markers[3].corners_mm[0], board.markers[3].corners_mm[1]);
  EXPECT_EQ(message(check_board(board, "b")),
            "E348 b: the corners of marker 3 are no upright square; list top left, top right, bottom right, "
            "bottom left "
            "as printed, x right and y up, in mm");
}

}  // namespace
}  // namespace fairhole::photo
