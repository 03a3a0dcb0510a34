// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/board.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include "dictionary.h"

namespace fairhole::photo {
namespace {

/// Minimum distance 6 bits between any two codes, and 250 ids: enough for kBoardCount sheets.
constexpr const char* kOwnDictionary = "DICT_5X5_250";
constexpr double kMarginMm = 12.0;  ///< no office printer prints to the edge
constexpr int kColumns = 3, kRows = 5;

struct SheetSize {
  const char* paper;
  double width_mm, height_mm;
  double marker_mm, cross_mm;
};
constexpr std::array kSheets{SheetSize{"A4", 210.0, 297.0, 28.0, 7.0},
                             SheetSize{"A3", 297.0, 420.0, 40.0, 10.0},
                             SheetSize{"Letter", 215.9, 279.4, 28.0, 6.0}};

/// Lower left corner of the marker in the ring's column and row.
Eigen::Vector2d ring_place(const SheetSize& sheet, int column, int row) {
  return {kMarginMm + column * (sheet.width_mm - 2.0 * kMarginMm - sheet.marker_mm) / (kColumns - 1),
          kMarginMm + row * (sheet.height_mm - 2.0 * kMarginMm - sheet.marker_mm) / (kRows - 1)};
}

std::array<Eigen::Vector2d, 4> square(const Eigen::Vector2d& low, double side) {
  return {Eigen::Vector2d(low.x(), low.y() + side), Eigen::Vector2d(low.x() + side, low.y() + side),
          Eigen::Vector2d(low.x() + side, low.y()), low};
}

void add_ring(const SheetSize& sheet, int first_id, Board& board) {
  for (int row = kRows - 1; row >= 0; --row)
    for (int column = 0; column < kColumns; ++column) {
      const bool inside = column == 1 && row > 0 && row < kRows - 1;
      if (inside) continue;
      const int id = first_id + static_cast<int>(board.markers.size());
      board.markers.push_back({id, square(ring_place(sheet, column, row), sheet.marker_mm)});
    }
}

/// Between neighbours of the ring, and two rows of three within it, above and below the words.
void add_crosses(const SheetSize& sheet, Board& board) {
  const Eigen::Vector2d half = Eigen::Vector2d::Constant(sheet.marker_mm / 2.0);
  const auto centre = [&](double column, double row) -> Eigen::Vector2d {
    const int c = static_cast<int>(column), r = static_cast<int>(row);
    const Eigen::Vector2d low = ring_place(sheet, c, r) + half;
    const Eigen::Vector2d next = ring_place(sheet, c + 1, r + 1) + half;
    return low + (next - low).cwiseProduct(Eigen::Vector2d(column - c, row - r));
  };
  const auto add = [&](double column, double row) {
    board.crosses.push_back({centre(column, row), sheet.cross_mm, board.crosses.size() % 2 == 1});
  };
  for (const double row : {4.0, 0.0})
    for (const double column : {0.5, 1.5}) add(column, row);
  for (const double row : {3.5, 2.5, 1.5, 0.5})
    for (const double column : {0.0, 2.0}) add(column, row);
  for (const double row : {3.0, 1.0})
    for (const double column : {0.5, 1.0, 1.5}) add(column, row);
}

/// As long as the ring allows: halfway between the ring's second row (first column) and the crosses beside
/// it.
void add_check_bars(const SheetSize& sheet, Board& board) {
  const double column_gap = ring_place(sheet, 1, 0).x() - kMarginMm - sheet.marker_mm;
  const double row_gap = ring_place(sheet, 0, 1).y() - kMarginMm - sheet.marker_mm;
  const double x = kMarginMm + sheet.marker_mm + 0.5 * (0.5 * column_gap - sheet.cross_mm);
  const double y = kMarginMm + sheet.marker_mm + row_gap - 0.5 * (0.5 * row_gap - sheet.cross_mm);
  const double long_x = std::floor((sheet.width_mm - 2.0 * kMarginMm) / 10.0) * 10.0;
  const double long_y = std::floor((sheet.height_mm - 2.0 * kMarginMm) / 10.0) * 10.0;
  const double x0 = (sheet.width_mm - long_x) / 2.0, y0 = (sheet.height_mm - long_y) / 2.0;
  board.check_bars.push_back({true, {x0, y}, {x0 + long_x, y}, long_x});
  board.check_bars.push_back({false, {x, y0}, {x, y0 + long_y}, long_y});
}

/// Between the y bar and the ring's last column, and between the two rows of crosses.
void add_room_for_words(const SheetSize& sheet, Board& board) {
  constexpr double kAwayMm = 6.0;
  const double half = 0.5 * sheet.marker_mm;
  const double above = ring_place(sheet, 0, 1).y() + half + sheet.cross_mm;
  const double below = ring_place(sheet, 0, kRows - 2).y() + half - sheet.cross_mm;
  board.words_low_mm = {board.check_bars[1].a_mm.x() + kAwayMm, above + kAwayMm};
  board.words_high_mm = {ring_place(sheet, kColumns - 1, 0).x() - kAwayMm, below - kAwayMm};
}

double side_mm(const BoardMarker& marker) { return (marker.corners_mm[1] - marker.corners_mm[0]).norm(); }

/// Corners clockwise as printed, all sides equal and square to a thousandth.
bool is_square(const BoardMarker& marker) {
  constexpr double kRatio = 1e-3;
  const auto& c = marker.corners_mm;
  const Eigen::Vector2d across = c[1] - c[0], down = c[3] - c[0];
  const double side = across.norm();
  if (!(side > 0.0)) return false;
  const double turn = across.x() * down.y() - across.y() * down.x();
  return std::abs(turn + side * side) < kRatio * side * side && (c[2] - c[1] - down).norm() < kRatio * side &&
         std::abs(across.dot(down)) < kRatio * side * side;
}

std::optional<Problem> check_marker(const BoardMarker& marker, int count, const std::string& dictionary,
                                    const std::string& where) {
  if (marker.id < 0 || marker.id >= count)
    return Problem{
        codes::kBoardDictionary, where,
        fmt::format("marker {} is not in {}, which holds 0 to {}", marker.id, dictionary, count - 1),
        "give the dictionary that the sheet was made with"};
  if (!is_square(marker))
    return Problem{codes::kBoardMarker, where,
                   fmt::format("the corners of marker {} are no upright square", marker.id),
                   "list top left, top right, bottom right, bottom left as printed, x right and y up, in mm"};
  return std::nullopt;
}

void add_marker_boxes(const Board& board, const BoardMarker& marker, int bits, std::vector<InkBox>& boxes) {
  const Eigen::Vector2d& low = marker.corners_mm[3];
  const double cell = side_mm(marker) / (bits + 2);
  boxes.push_back({low, marker.corners_mm[1], true});
  const auto cells = marker_cells(board.dictionary, marker.id);
  const auto white = [&](int x, int y) {
    return x >= 0 && y >= 0 && x < bits && y < bits &&
           cells[static_cast<std::size_t>(y)][static_cast<std::size_t>(x)];
  };
  const auto paint = [&](int x0, int y0, int x1, int y1) {
    boxes.push_back({low + cell * Eigen::Vector2d(x0 + 1, bits - y1 + 1),
                     low + cell * Eigen::Vector2d(x1 + 1, bits - y0 + 1), false});
  };
  // Runs of paper along rows and along columns: where both pass, no seam shows between neighbours.
  for (int i = 0; i < bits; ++i)
    for (int start = 0; start < bits; ++start) {
      int end = start;
      while (white(end, i) && !white(start - 1, i)) ++end;
      if (end > start) paint(start, i, end, i + 1);
      end = start;
      while (white(i, end) && !white(i, start - 1)) ++end;
      if (end > start + 1) paint(i, start, i + 1, end);
    }
}

/// Lower left corners of a cross's two squares.
std::array<Eigen::Vector2d, 2> cross_squares(const BoardCross& cross) {
  const double s = cross.side_mm;
  if (cross.falling) return {cross.at_mm + Eigen::Vector2d(-s, 0), cross.at_mm + Eigen::Vector2d(0, -s)};
  return {cross.at_mm, cross.at_mm - Eigen::Vector2d(s, s)};
}

void add_edges(const std::array<Eigen::Vector2d, 4>& corners, int feature, double clear,
               std::vector<PrintedEdge>& edges) {
  for (std::size_t i = 0; i < 4; ++i) edges.push_back({feature, corners[i], corners[(i + 1) % 4], clear});
}

}  // namespace

Result<Board> make_board(const std::string& paper, int number) {
  const auto sheet = std::ranges::find_if(kSheets, [&](const SheetSize& s) { return paper == s.paper; });
  Problems problems;
  if (sheet == kSheets.end())
    problems.push_back({codes::kBoardPaper, "--paper",
                        fmt::format("no board is laid out for paper \"{}\"", paper),
                        "write A4, A3 or Letter"});
  if (number < 0 || number >= kBoardCount)
    problems.push_back({codes::kBoardNumber, "--number", fmt::format("there is no sheet number {}", number),
                        fmt::format("write a whole number from 0 to {}", kBoardCount - 1)});
  if (!problems.empty()) return problems;
  Board board{.name = fmt::format("{}-{}", paper, number),
              .dictionary = kOwnDictionary,
              .paper_mm = {sheet->width_mm, sheet->height_mm}};
  add_ring(*sheet, number * kMarkersPerBoard, board);
  add_crosses(*sheet, board);
  add_check_bars(*sheet, board);
  add_room_for_words(*sheet, board);
  return board;
}

Problems check_board(const Board& board, const std::string& where) {
  const auto facts = dictionary_facts(board.dictionary);
  if (!facts)
    return {{codes::kBoardDictionary, where,
             fmt::format("no marker dictionary is called \"{}\"", board.dictionary),
             fmt::format("write one of {}", fmt::join(dictionary_names(), ", "))}};
  if (board.markers.empty())
    return {{codes::kBoardEmpty, where, fmt::format("board {} has no markers", board.name),
             "give the BOARD.json that was written beside the printed sheet"}};
  Problems problems;
  std::map<int, int> seen;
  for (const BoardMarker& marker : board.markers) {
    if (auto problem = check_marker(marker, facts->count, board.dictionary, where))
      problems.push_back(*problem);
    if (++seen[marker.id] == 2)
      problems.push_back({codes::kBoardsAlike, where, fmt::format("marker {} is there twice", marker.id),
                          "each id may stand once on all boards of a job"});
  }
  return problems;
}

std::vector<InkBox> printed_boxes(const Board& board) {
  std::vector<InkBox> boxes;
  const int bits = dictionary_facts(board.dictionary)->bits;
  for (const BoardMarker& marker : board.markers) add_marker_boxes(board, marker, bits, boxes);
  for (const BoardCross& cross : board.crosses)
    for (const Eigen::Vector2d& low : cross_squares(cross))
      boxes.push_back({low, low + Eigen::Vector2d::Constant(cross.side_mm), true});
  return boxes;
}

std::vector<PrintedEdge> printed_edges(const Board& board) {
  std::vector<PrintedEdge> edges;
  const int cells = dictionary_facts(board.dictionary)->bits + 2;
  int feature = 0;
  for (const BoardMarker& marker : board.markers)
    add_edges(marker.corners_mm, feature++, side_mm(marker) / cells, edges);
  for (const BoardCross& cross : board.crosses) {
    for (const Eigen::Vector2d& low : cross_squares(cross))
      add_edges(square(low, cross.side_mm), feature, cross.side_mm / 2.0, edges);
    ++feature;
  }
  return edges;
}

}  // namespace fairhole::photo
