// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/report/fastener_sheets.h"

#include <fmt/format.h>

#include <algorithm>

#include "bolt_picture.h"
#include "bush_picture.h"
#include "fairhole/base/length.h"
#include "fastener_tables.h"
#include "flow.h"
#include "pen.h"
#include "rivet_picture.h"
#include "words.h"

namespace fairhole {
namespace {

using namespace report;

constexpr double kPieceHighMm = 59.0;  // two pictures on a sheet of A4, below a heading
constexpr double kRivetHighMm = 52.0;
constexpr double kTurningWordsMm = 12.0;  // two lines below the heading
constexpr double kWordsMm = 2.3;
constexpr double kWordsWideMm = 72.0;

std::string shank_step(const FastenerPiece& piece) {
  if (!piece.to_own_bore) return "";
  return "Turn the shank only when its hole is reamed and measured: check-back gives its limits.";
}

/// What stands beside a picture.
std::vector<std::string> piece_words(const FastenerSchedule& schedule, const FastenerPiece& piece,
                                     double width_mm) {
  const fasteners::TurningLine& line = *piece.turning;
  const fasteners::BoltDesign& bolt = line.design;
  std::vector<std::string> rows;
  const auto add = [&](const std::string& text) {
    for (const std::string& row : wrapped(text, width_mm, kWordsMm)) rows.push_back(row);
  };
  add(places_words(places_of(schedule, piece)));
  add(fmt::format("Bar {}, {} mm a piece. {}", line.bar.name, size_mm(line.piece_mm),
                  bolt.into_thread
                      ? fmt::format("Into the thread {}, whose mouth is counterbored.", bolt.thread.name())
                      : fmt::format("Nut {}, washer {}.", bolt.thread.name(), washer_words(bolt))));
  if (bolt.head_washer_mm > 0.0) {
    add(fmt::format("Washer under the head {} x {} mm.", size_mm(bolt.head_washer_hole_mm),
                    size_mm(bolt.head_washer_mm)));
  }
  if (bolt.hexagon) add("Turn to the corners, mill six faces.");
  if (piece.to_own_bore) add(shank_step(piece));
  constexpr std::size_t kMostRows = 12;
  if (rows.size() > kMostRows) {
    rows.resize(kMostRows);
    rows.back() += " ...";
  }
  return rows;
}

/// Mark and words at the left of a frame; the room that is left for the picture.
Box draw_words(drawing::Drawing& on, const Box& box, const std::string& title,
               const std::vector<std::string>& rows) {
  rectangle(on, box);
  const Box inner = box.grown(-2.0);
  double y = inner.high_mm.y() - 4.0;
  write(on, {inner.low_mm.x(), y}, fitted(title, kWordsWideMm, 4.0, true), {.height_mm = 4.0, .bold = true});
  y -= 2.0;
  for (const std::string& row : rows) {
    y -= 1.85 * kWordsMm;
    write(on, {inner.low_mm.x(), y}, fitted(row, kWordsWideMm, kWordsMm),
          {.height_mm = kWordsMm, .bold = &row == &rows.front()});
  }
  return {{inner.low_mm.x() + kWordsWideMm + 4.0, inner.low_mm.y()}, inner.high_mm};
}

void draw_piece(drawing::Drawing& on, const Box& box, const FastenerSchedule& schedule,
                const FastenerPiece& piece) {
  std::vector<std::string> rows{fasteners::kind_name(piece.kind)};
  for (const std::string& row : piece_words(schedule, piece, kWordsWideMm)) rows.push_back(row);
  const std::string title = fmt::format("{}   {} off", piece.mark, piece.stacks.size());
  draw_bolt(on, draw_words(on, box, title, rows), piece);
}

void draw_bush_piece(drawing::Drawing& on, const Box& box, const FastenerSchedule& schedule,
                     const BushPiece& piece) {
  const LayerBush& bush = schedule.bushes[piece.bushes.front()];
  std::vector<std::string> rows{"bush"};
  for (const std::string& text :
       {bush_places_words(schedule, piece),
        piece.bar ? fmt::format("Bar {}, {} mm a piece.", piece.bar->name, size_mm(piece.piece_mm))
                  : std::string("No bar in the catalogue is large enough."),
        bush_note(bush)}) {
    for (const std::string& row : wrapped(text, kWordsWideMm, kWordsMm)) rows.push_back(row);
  }
  const std::string title = fmt::format("{}   {} off", piece.mark, piece.bushes.size());
  draw_bush(on, draw_words(on, box, title, rows), bush);
}

void add_rivets(Flow& flow, const FastenerSchedule& schedule) {
  std::vector<const FastenerPiece*> rivets;
  for (const FastenerPiece& piece : schedule.pieces) {
    if (schedule.stacks[piece.stacks.front()].rivet) rivets.push_back(&piece);
  }
  if (rivets.empty()) return;
  flow.heading_over("Rivets and their sets", kRivetHighMm);
  for (const FastenerPiece* piece : rivets) {
    const fasteners::RivetDesign& rivet = *schedule.stacks[piece->stacks.front()].rivet;
    std::vector<std::string> rows{fasteners::kind_name(piece->kind)};
    for (const std::string& text :
         {places_words(places_of(schedule, *piece)), piece_grip_words(schedule, *piece) + " mm.",
          fmt::format("Trial lengths {} to {} mm.", format_mm(rivet.least_length_mm, 1),
                      format_mm(rivet.most_length_mm, 1)),
          fmt::format("Press, hot: about {:.0f} t, an estimate.", rivet.hot.tonnes()),
          std::string("Broken lines: the head to be formed, on the work's far face.")}) {
      for (const std::string& row : wrapped(text, kWordsWideMm, kWordsMm)) rows.push_back(row);
    }
    const Flow::Room room = flow.room(kRivetHighMm);
    const std::string title = fmt::format("{}   {} off", piece->mark, piece->stacks.size());
    draw_rivet(*room.on, draw_words(*room.on, room.box.grown(-0.7), title, rows), rivet);
  }
}

void add_turning(Flow& flow, const FastenerSchedule& schedule) {
  std::vector<const FastenerPiece*> turned;
  for (const FastenerPiece& piece : schedule.pieces) {
    if (piece.turning) turned.push_back(&piece);
  }
  if (turned.empty() && schedule.bush_pieces.empty()) return;
  flow.heading_over("Turning list", kPieceHighMm + kTurningWordsMm);
  flow.paragraph(
      "Lengths in mm from the underside of the head, each from there; diameters in mm. The plain shank "
      "reaches "
      "through the last layer; no thread and no relief lies in a layer. Sharp edges broken, a small radius "
      "under the head.");
  for (const FastenerPiece* piece : turned) {
    const Flow::Room room = flow.room(kPieceHighMm);
    draw_piece(*room.on, room.box.grown(-0.7), schedule, *piece);
  }
  for (const BushPiece& piece : schedule.bush_pieces) {
    const Flow::Room room = flow.room(kPieceHighMm);
    draw_bush_piece(*room.on, room.box.grown(-0.7), schedule, piece);
  }
}

std::string thickness_words(const FastenerSchedule& schedule) {
  return fmt::format(
      "Every length serves for layers up to {} mm thicker or thinner than stated, each. Measure one grip "
      "of every row before the lot is made.",
      size_mm(schedule.thickness_within_mm));
}

}  // namespace

std::vector<drawing::Page> fastener_sheets(const FastenerSchedule& schedule, const SenseReport& sense,
                                           const SheetTitle& title, const drawing::Paper& paper) {
  Flow flow(std::max(paper.width_mm, paper.height_mm), std::min(paper.width_mm, paper.height_mm));
  flow.section("Bolts", thickness_words(schedule), bolt_table(schedule));
  flow.section(
      "Hot rivets",
      "Lengths under the made head, by volume: cut three trial rivets first and look at the closed heads. "
      "The press's force is an estimate. Heat to a light cherry red; never drive below a dull red.",
      rivet_table(schedule));
  flow.section("Bushes", "", bush_table(schedule));
  flow.section("Left open: nothing is made for these yet", "", open_table(schedule));
  flow.section("Notes", "", note_table(schedule));
  if (!schedule.assumed.empty()) {
    flow.heading("Taken because the job states none");
    flow.numbered(schedule.assumed);
  }
  flow.section(
      "How many sizes of shank",
      fmt::format("Few sizes make a quick batch, but each must then be held closer. The list here takes "
                  "the fewest that a lathe good for {} mm can make.",
                  format_mm(schedule.turning_mm, 3)),
      trade_off_table(schedule));
  add_rivets(flow, schedule);
  add_turning(flow, schedule);
  flow.section("To buy", "", buying_table(schedule));
  flow.section(
      "Does it make sense?",
      sense.deferral +
          " Beside the fastener the job asks for; the nearest edge and hole are taken as lying along the "
          "load.",
      sense_table(sense));
  flow.heading("Cautions");
  flow.numbered(cautions());
  return std::move(flow).finished({title, "Fasteners", "", "", {}, 1, 1}, {});
}

}  // namespace fairhole
