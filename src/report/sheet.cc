// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "fairhole/base/length.h"
#include "fairhole/report/sheets.h"
#include "flow.h"
#include "ordinates.h"
#include "pen.h"
#include "plate_view.h"
#include "words.h"
#include "work_order.h"

namespace fairhole {
namespace {

using namespace report;

/// Capitals of ordinates and labels: what an arm's length allows on A4, larger where there is room.
double figure_mm(const drawing::Paper& paper) {
  return std::min(paper.width_mm, paper.height_mm) > 250.0 ? 2.6 : 2.2;
}

constexpr double kHeadMm = 13.4;   ///< three lines of words above the plate
constexpr double kCornerMm = 5.0;  ///< figures along x may begin so far left of the plate
constexpr int kMostPasses = 6;     ///< of placing the plate between its figures
constexpr double kAirMm = 2.0;     ///< about the plate, for labels that stand outside it

/// The plate and its ordinates fitted into a room on paper.
struct Fit {
  double denominator = 1.0;
  View view;
  OrdinateFit x, y;
  double text_mm = 0.0;
};

std::optional<Fit> fit_at(const PlateLayout& layout, const std::vector<Ordinate>& x,
                          const std::vector<Ordinate>& y, const Box& room, double denominator,
                          double text_mm) {
  Fit fit{denominator, {1.0 / denominator, room.low_mm}, {}, {}, text_mm};
  const Box plate = plate_extent(layout);
  const auto refit = [&] {
    const Eigen::Vector2d low = fit.view(plate.low_mm);
    // The figures along x stay right of the figures along y: the corner belongs to those.
    const double left = low.x() - kCornerMm;
    const auto fit_x = fit_ordinates(x, fit.view, 0, text_mm, low.y(), left, room.high_mm.x());
    const auto fit_y = fit_ordinates(y, fit.view, 1, text_mm, low.x(), room.low_mm.y(), room.high_mm.y());
    if (!fit_x || !fit_y) return false;
    fit.x = *fit_x;
    fit.y = *fit_y;
    return true;
  };
  if (!refit()) return std::nullopt;
  const Eigen::Vector2d size = fit.view.scale * (plate.high_mm - plate.low_mm);
  // Where the plate stands decides how the figures rank, and so how deep they are, and so where it can stand.
  for (int pass = 0; pass < kMostPasses; ++pass) {
    const Eigen::Vector2d depth(fit.y.depth_mm, fit.x.depth_mm);
    const Eigen::Vector2d spare =
        room.high_mm - room.low_mm - depth - size - Eigen::Vector2d::Constant(kAirMm);
    if (spare.minCoeff() < 0.0) return std::nullopt;
    fit.view.origin_mm = room.low_mm + depth + 0.5 * spare - fit.view.scale * plate.low_mm;
    if (!refit()) return std::nullopt;
    if (fit.y.depth_mm <= depth.x() && fit.x.depth_mm <= depth.y()) return fit;
  }
  return std::nullopt;
}

std::optional<Fit> largest_fit(const PlateLayout& layout, const std::vector<Ordinate>& x,
                               const std::vector<Ordinate>& y, const Box& room, double text_mm) {
  for (const double denominator : scale_denominators()) {
    if (auto fit = fit_at(layout, x, y, room, denominator, text_mm)) return fit;
  }
  return std::nullopt;
}

/// Room for the plate on the first sheet: a line of words above it, the legend below.
Box plate_room(double width_mm, double height_mm) {
  Box room = content_box(width_mm, height_mm);
  room.high_mm.y() -= kHeadMm;
  room.low_mm.y() += 8.0;
  return room;
}

void draw_head(drawing::Drawing& on, const PlateLayout& layout, const Box& content) {
  constexpr double kHeadTextMm = 2.4;
  const double width = content.width_mm();
  double y = content.high_mm.y() - 3.2;
  const auto put = [&](const std::string& text, std::size_t most_lines) {
    std::vector<std::string> lines = wrapped(text, width, kHeadTextMm);
    if (lines.size() > most_lines) {
      lines[most_lines - 1] += " " + lines[most_lines];
      lines.resize(most_lines);
    }
    for (const std::string& row : lines) {
      write(on, {content.low_mm.x(), y}, fitted(row, width, kHeadTextMm), {.height_mm = kHeadTextMm});
      y -= 4.6;
    }
  };
  std::string plate = fmt::format("Plate {} mm thick", size_mm(layout.thickness_mm));
  if (!layout.material.empty()) plate += ", " + layout.material;
  put(fmt::format("{}. {}", plate, hole_summary(layout)), 2);
  put(layout.marks.inches
          ? "Millimetres, inches in brackets; every figure from its datum edge (heavy, with ticks)."
          : "Millimetres; every figure from its datum edge (heavy, with ticks).",
      1);
}

void draw_first_sheet(drawing::Drawing& on, const PlateLayout& layout, const std::vector<Ordinate>& x,
                      const std::vector<Ordinate>& y, const Fit& fit, const Box& content) {
  draw_head(on, layout, content);
  std::vector<Box> words;
  draw_plate(on, layout, fit.view, fit.text_mm, words);
  for (const LaidHole& hole : layout.holes) draw_hole(on, hole, fit.view);
  const Eigen::Vector2d corner = fit.view(plate_extent(layout).low_mm);
  // Labels may leave the plate at the top and right, but not where the ordinates stand.
  const bool all_labelled =
      label_holes(on, layout, fit.view, fit.text_mm,
                  {corner, {content.high_mm.x(), content.high_mm.y() - kHeadMm}}, words);
  draw_ordinates(on, x, fit.x, fit.view, 0, fit.text_mm);
  draw_ordinates(on, y, fit.y, fit.view, 1, fit.text_mm);
  draw_legend(on, layout, content.low_mm + Eigen::Vector2d(0.0, 5.2), content.width_mm(), 2.1, all_labelled);
}

std::string note_words(const LaidHole& hole) {
  std::string note = hole.locating ? "drill first" : "";
  const std::string state = hole.state == State::kSettled ? "" : state_name(hole.state);
  for (const std::string& more : {state, hole.note}) {
    if (!more.empty()) note += (note.empty() ? "" : "; ") + more;
  }
  return note;
}

Table hole_table(const PlateLayout& layout) {
  const auto right = drawing::Align::kRight;
  Table table{{{"hole", drawing::Align::kLeft, false, true}, {"x, mm", right}, {"y, mm", right}}, {}};
  if (layout.marks.inches) {
    table.columns.push_back({"x, in", right});
    table.columns.push_back({"y, in", right});
  }
  for (const char* head : {"on the bench", "then in place"}) table.columns.push_back({head});
  table.columns.push_back({"finish, mm", right});
  table.columns.push_back({"odds in 100", right});
  table.columns.push_back({.head = "note", .wraps = true});
  const int decimals = mark_decimals(layout.marks);
  for (const LaidHole& hole : layout.holes) {
    std::vector<std::string> row{hole.id, format_mm(hole.mark_mm.x(), decimals),
                                 format_mm(hole.mark_mm.y(), decimals)};
    if (layout.marks.inches) {
      row.push_back(inch_figure(hole.mark_mm.x()));
      row.push_back(inch_figure(hole.mark_mm.y()));
    }
    row.push_back(steps_words(hole.bench_steps));
    row.push_back(steps_words(hole.in_place_steps));
    row.push_back(takes_old_size(hole) ? found_mm(hole.finish_mm) : size_mm(hole.finish_mm));
    row.push_back(odds_figure(hole.odds));
    row.push_back(note_words(hole));
    table.rows.push_back(std::move(row));
  }
  return table;
}

Table diagonal_table(const PlateLayout& layout) {
  Table table{{{"from", drawing::Align::kLeft, false, true},
               {"to", drawing::Align::kLeft, false, true},
               {"should be, mm", drawing::Align::kRight}},
              {}};
  if (layout.marks.inches) table.columns.push_back({"should be, in", drawing::Align::kRight});
  table.columns.push_back({"within, mm", drawing::Align::kRight});
  table.columns.push_back({.head = "measured", .least_mm = 30.0});
  for (const CheckDiagonal& check : layout.diagonals) {
    std::vector<std::string> row{check.from, check.to, format_mm(check.length_mm, 1)};
    if (layout.marks.inches) row.push_back(inch_figure(check.length_mm));
    row.push_back("\u00b1 " + format_mm(check.tolerance_mm, 1));
    row.emplace_back("");
    table.rows.push_back(std::move(row));
  }
  return table;
}

Table seat_table(const PlateLayout& layout, const std::vector<SeatPlan>& seats) {
  const auto right = drawing::Align::kRight;
  Table table{{{"part", drawing::Align::kLeft, true, true},
               {"face", drawing::Align::kLeft, true},
               {"from end edge, mm", right},
               {"from long edge, mm", right},
               {"turned from nominal", drawing::Align::kLeft},
               {"drill and bolt first, its hole at", drawing::Align::kLeft}},
              {}};
  const int decimals = decimals_for(kSettingSigmaMm);
  const auto at = [decimals](const std::string& id, const Eigen::Vector2d& p) {
    return fmt::format("{} ({}, {})", id, format_mm(p.x(), decimals), format_mm(p.y(), decimals));
  };
  for (const SeatPlan& seat : seats) {
    if (seat.plate != layout.plate) continue;
    std::vector<std::string> first;
    if (!seat.locating_a.empty()) first.push_back(at(seat.locating_a, seat.hole_a_mm));
    if (!seat.locating_b.empty()) first.push_back(at(seat.locating_b, seat.hole_b_mm));
    table.rows.push_back(
        {seat.part, seat.face, format_mm(seat.set_x_mm, decimals), format_mm(seat.set_y_mm, decimals),
         turn_words(seat) + (seat.at_limit ? "; its own holes ask for more" : ""), list_words(first)});
  }
  return table;
}

void add_tables(Flow& flow, const PlateLayout& layout, const std::vector<SeatPlan>& seats,
                const SheetOptions& options) {
  flow.heading("Holes, in drilling order");
  std::string odds = "Odds: that the hole cleans up or passes in every layer";
  if (!options.way_of_drilling.empty()) odds += ", " + options.way_of_drilling;
  flow.paragraph(odds + ". Where a hole is finished in place, the last drill on the bench is its pilot.");
  flow.table(hole_table(layout));
  if (!layout.diagonals.empty()) {
    const Table table = diagonal_table(layout);
    flow.heading("Check diagonals, before you punch", &table);
    flow.table(table);
  }
  if (const Table table = seat_table(layout, seats); !table.rows.empty()) {
    flow.heading("How to set each part", &table);
    flow.paragraph(
        "Two dimensions from the plate's datum edges to the part's own datum corner: its end and its heel "
        "or long edge. A minus: beyond the plate's edge. Then the two holes to drill and bolt first, and "
        "where the "
        "middles of the part's own holes stand there; where these and the part's edges disagree, the holes "
        "decide.");
    flow.table(table);
  }
  flow.heading("Order of work");
  flow.numbered(order_of_work(layout, seats));
  flow.heading("Cautions");
  flow.numbered(cautions());
}

}  // namespace

Result<std::vector<drawing::Page>> drilling_sheet(const PlateLayout& layout,
                                                  const std::vector<SeatPlan>& seats, const SheetTitle& title,
                                                  const SheetOptions& options) {
  const std::vector<Ordinate> x = collect_ordinates(layout, 0);
  const std::vector<Ordinate> y = collect_ordinates(layout, 1);
  const double text_mm = figure_mm(options.paper);
  const double longer = std::max(options.paper.width_mm, options.paper.height_mm);
  const double shorter = std::min(options.paper.width_mm, options.paper.height_mm);
  const auto level = largest_fit(layout, x, y, plate_room(longer, shorter), text_mm);
  const auto upright = largest_fit(layout, x, y, plate_room(shorter, longer), text_mm);
  if (!level && !upright) {
    return Problem{codes::kSheetTooSmall, layout.plate,
                   fmt::format("{} holes do not fit on {} with their ordinates", layout.holes.size(),
                               options.paper.name),
                   "take A3 paper for the drilling sheet"};
  }
  const bool turned = level && (!upright || level->denominator <= upright->denominator);
  const Fit& fit = turned ? *level : *upright;
  const double width = turned ? longer : shorter;
  const double height = turned ? shorter : longer;
  Flow flow(width, height);
  draw_first_sheet(flow.new_page(), layout, x, y, fit, content_box(width, height));
  add_tables(flow, layout, seats, options);
  return std::move(flow).finished({title, layout.plate, layout.hand, layout.marked_face, {}, 1, 1},
                                  {scale_words(fit.denominator)});
}

}  // namespace fairhole
