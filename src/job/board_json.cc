// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/board_json.h"

#include <fmt/format.h>

#include <map>

#include "fairhole/drawing/writers.h"
#include "fairhole/job/load.h"
#include "fairhole/report/board_sheet.h"
#include "json_text.h"
#include "node.h"

namespace fairhole::job {
namespace {

using Json = nlohmann::ordered_json;

Eigen::Vector2d read_point(Node& node, const char* key, bool required) {
  if (const std::optional<Node> child = node.child(key))
    return child->as_point_mm().value_or(Eigen::Vector2d::Zero());
  if (required)
    node.problem(codes::kJobKeyMissing, fmt::format("\"{}\" is missing", key),
                 fmt::format("write \"{}\": [x, y]", key));
  return Eigen::Vector2d::Zero();
}

photo::BoardMarker read_marker(Node node) {
  photo::BoardMarker marker{.id = node.whole("id", kNotNegative)};
  const std::vector<Eigen::Vector2d> corners = node.points_mm("corners", true);
  if (corners.size() == 4)
    for (std::size_t i = 0; i < 4; ++i) marker.corners_mm[i] = corners[i];
  else if (node.has("corners"))
    node.problem(codes::kJobWrongType, fmt::format("{} corners where a marker has four", corners.size()),
                 "list top left, top right, bottom right, bottom left");
  return marker;
}

photo::CheckBar read_bar(Node node) {
  const bool along_x = node.word("axis", {"x", "y"}, true) == "x";
  return {along_x, read_point(node, "a", true), read_point(node, "b", true),
          node.length_mm("length_mm", kAboveZero)};
}

photo::BoardCross read_cross(Node node) {
  photo::BoardCross cross{.at_mm = read_point(node, "at", true),
                          .side_mm = node.length_mm("side_mm", kAboveZero)};
  cross.falling = node.yes("falling", false);
  return cross;
}

photo::Board read_board(Node node) {
  photo::Board board{.name = node.text("name"),
                     .dictionary = node.text("dictionary"),
                     .paper_mm = read_point(node, "paper_mm", false)};
  for (const Node& marker : node.list("markers", true)) board.markers.push_back(read_marker(marker));
  for (const Node& bar : node.list("check_bars")) board.check_bars.push_back(read_bar(bar));
  for (const Node& cross : node.list("crosses")) board.crosses.push_back(read_cross(cross));
  return board;
}

Json point(const Eigen::Vector2d& p) { return {p.x(), p.y()}; }

}  // namespace

Result<std::vector<photo::Board>> parse_boards(std::string_view text, const std::string& file) {
  const Result<Json> json = parse_json(text, file);
  if (!json) return json.problems();
  NodeContext context{file, Unit::kMm, {}};
  Node root(*json, context, "");
  root.word("units", {"mm"});
  std::vector<photo::Board> boards;
  std::vector<Node> nodes = root.list("boards", true);
  for (const Node& node : nodes) boards.push_back(read_board(node));
  if (context.problems.empty() && boards.empty())
    return Problem{photo::codes::kBoardEmpty, file, "no board is described in it",
                   "give the BOARD.json that was written beside the printed sheet"};
  if (context.problems.empty())
    for (std::size_t i = 0; i < boards.size(); ++i)
      append(context.problems, photo::check_board(boards[i], nodes[i].where()));
  if (!context.problems.empty()) return context.problems;
  return boards;
}

Problems check_boards_differ(const std::vector<photo::Board>& boards) {
  Problems problems;
  std::map<std::pair<std::string, int>, std::string> owner;
  std::map<std::string, int> names;
  for (const photo::Board& board : boards) {
    if (++names[board.name] == 2)
      problems.push_back({photo::codes::kBoardsAlike, "--board",
                          fmt::format("two boards are called {}", board.name),
                          "give each board once, and use sheets of different numbers"});
    for (const photo::BoardMarker& marker : board.markers) {
      const auto [other, fresh] = owner.try_emplace({board.dictionary, marker.id}, board.name);
      if (fresh || other->second == board.name) continue;
      problems.push_back(
          {photo::codes::kBoardsAlike, "--board",
           fmt::format("boards {} and {} both have marker {}", other->second, board.name, marker.id),
           "use sheets of different numbers (fairhole board --number N)"});
      break;
    }
  }
  return problems;
}

std::string board_json(const photo::Board& board) {
  Json markers = Json::array(), bars = Json::array(), crosses = Json::array();
  for (const photo::BoardMarker& marker : board.markers) {
    Json corners = Json::array();
    for (const Eigen::Vector2d& corner : marker.corners_mm) corners.push_back(point(corner));
    markers.push_back({{"id", marker.id}, {"corners", corners}});
  }
  for (const photo::CheckBar& bar : board.check_bars)
    bars.push_back({{"axis", bar.along_x ? "x" : "y"},
                    {"a", point(bar.a_mm)},
                    {"b", point(bar.b_mm)},
                    {"length_mm", bar.length_mm}});
  for (const photo::BoardCross& cross : board.crosses)
    crosses.push_back({{"at", point(cross.at_mm)}, {"side_mm", cross.side_mm}, {"falling", cross.falling}});
  const Json root{{"units", "mm"},
                  {"boards",
                   {{{"name", board.name},
                     {"dictionary", board.dictionary},
                     {"paper_mm", point(board.paper_mm)},
                     {"markers", markers},
                     {"check_bars", bars},
                     {"crosses", crosses}}}}};
  return root.dump(1) + "\n";
}

Result<std::string> board_pdf(const photo::Board& board) {
  BoardSheet sheet{.name = board.name, .width_mm = board.paper_mm.x(), .height_mm = board.paper_mm.y()};
  for (const photo::InkBox& box : photo::printed_boxes(board))
    sheet.rectangles.push_back({box.low_mm, box.high_mm, box.black});
  for (const photo::CheckBar& bar : board.check_bars)
    sheet.bars.push_back({bar.along_x, bar.a_mm, bar.b_mm, bar.length_mm});
  sheet.words_low_mm = board.words_low_mm;
  sheet.words_high_mm = board.words_high_mm;
  const std::vector<drawing::Page> pages{board_page(sheet)};
  return drawing::write_pdf(pages, {.title = "Scale board " + board.name});
}

}  // namespace fairhole::job
