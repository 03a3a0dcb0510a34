// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <array>
#include <string>
#include <vector>

#include "fairhole/base/result.h"

/// Scale boards: what is printed where. Frame of a board: mm as designed, origin at the sheet's lower left
/// corner, x right, y up.
namespace fairhole::photo {

/// A square fiducial of one of OpenCV's ArUco dictionaries.
struct BoardMarker {
  int id = 0;
  /// Outer corners of its black border: top left, top right, bottom right, bottom left as printed.
  std::array<Eigen::Vector2d, 4> corners_mm{};
};

/// Two black squares that touch at a point, for accuracy alone: one right above the point and one left below,
/// or (`falling`) one left above and one right below.
struct BoardCross {
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();
  double side_mm = 0.0;
  bool falling = false;
};

/// A printed length between two ticks, measured by the user on the print.
struct CheckBar {
  bool along_x = true;
  Eigen::Vector2d a_mm = Eigen::Vector2d::Zero(), b_mm = Eigen::Vector2d::Zero();
  double length_mm = 0.0;
};

struct Board {
  std::string name;        ///< "A4-3"
  std::string dictionary;  ///< "DICT_5X5_250"
  Eigen::Vector2d paper_mm = Eigen::Vector2d::Zero();
  std::vector<BoardMarker> markers = {};
  std::vector<BoardCross> crosses = {};
  std::vector<CheckBar> check_bars = {};
  /// Where nothing that is measured is printed: room for name and words.
  Eigen::Vector2d words_low_mm = Eigen::Vector2d::Zero(), words_high_mm = Eigen::Vector2d::Zero();
};

/// Numbers of our own sheets: each has kMarkersPerBoard ids of its own, whatever its paper, so that no two
/// sheets of different numbers share an id.
inline constexpr int kMarkersPerBoard = 12;
inline constexpr int kBoardCount = 20;

/// Lays out sheet `number` (0 .. kBoardCount - 1) for "A4", "A3" or "Letter", upright. Problems:
/// kBoardPaper, kBoardNumber.
Result<Board> make_board(const std::string& paper, int number);

/// What is wrong with a board: unknown dictionary, an id that is not in it or is there twice, a marker that
/// is no square or is turned over. Empty for a sound one. `where`: what messages call the board's place.
Problems check_board(const Board& board, const std::string& where);

/// An upright rectangle of ink or, over it, of paper.
struct InkBox {
  Eigen::Vector2d low_mm = Eigen::Vector2d::Zero(), high_mm = Eigen::Vector2d::Zero();
  bool black = true;
};
/// Markers and crosses as rectangles, to be painted in this order. Markers must lie upright.
std::vector<InkBox> printed_boxes(const Board& board);

/// A straight edge of ink; going from a to b the ink lies on the right.
struct PrintedEdge {
  int feature = 0;  ///< marker index, or markers.size() + cross index
  Eigen::Vector2d a_mm = Eigen::Vector2d::Zero(), b_mm = Eigen::Vector2d::Zero();
  double clear_mm = 0.0;  ///< nothing else is printed within this distance of the edge's inner part
};
std::vector<PrintedEdge> printed_edges(const Board& board);

namespace codes {
inline constexpr Code kBoardPaper{345};       ///< paper that boards are not laid out for
inline constexpr Code kBoardNumber{346};      ///< a sheet number that is not there
inline constexpr Code kBoardDictionary{347};  ///< a dictionary or id that is not known
inline constexpr Code kBoardMarker{348};      ///< a marker that is no square as printed
inline constexpr Code kBoardEmpty{691};       ///< no board, or one without markers
inline constexpr Code kBoardsAlike{349};      ///< an id that is there twice
}  // namespace codes

}  // namespace fairhole::photo
