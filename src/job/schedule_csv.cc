// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "schedule_csv.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>
#include <vector>

#include "fairhole/report/fastener_sheets.h"

namespace fairhole::job {
namespace {

using Row = std::vector<std::string>;
using Number = std::optional<double>;

std::string line_of(const Row& cells) { return fmt::format("{}\n", fmt::join(cells, ",")); }

/// Sizes are whole nanometres; binary fractions of them are not for people.
Number mm(double value) { return std::round(value * 1e6) / 1e6; }

double grip_mm(const StackFastener& stack) {
  double sum = 0.0;
  for (const fasteners::GripLayer& layer : stack.layers) sum += layer.thickness_mm;
  return sum;
}

/// Shank, lengths, head and washer of a bolt, or empty cells.
Row bolt_cells(const fasteners::BoltDesign* bolt, const FastenerPiece* piece) {
  if (bolt == nullptr) return Row(13);
  const bool shelf = piece != nullptr && piece->bought && bolt->stock;
  const bool sized = piece != nullptr && piece->shank;
  return {csv_number(sized ? mm(piece->shank->min_mm()) : Number()),
          csv_number(sized ? mm(piece->shank->max_mm()) : Number()),
          csv_number(piece != nullptr && piece->to_own_bore ? mm(piece->blank_mm) : Number()),
          csv_field(bolt->thread.name()),
          csv_number(mm(shelf ? bolt->stock->run_out_from_mm : bolt->shank_mm)),
          csv_number(shelf ? Number() : mm(bolt->relief_mm)),
          csv_number(shelf ? Number() : mm(bolt->relief_diameter_mm)),
          csv_number(mm(shelf ? bolt->stock->length_mm : bolt->length_mm)),
          csv_number(mm(bolt->head.diameter_mm)),
          csv_number(mm(bolt->head.height_mm)),
          csv_number(bolt->form_radius_mm > 0.0 ? mm(bolt->form_radius_mm) : Number()),
          csv_number(bolt->flat_from_axis_mm),
          csv_number(bolt->into_thread ? Number() : mm(bolt->nut_washer_mm))};
}

Row rivet_cells(const StackFastener& stack) {
  if (!stack.rivet) return Row(6);
  const fasteners::RivetDesign& rivet = *stack.rivet;
  return {csv_number(mm(rivet.rivet_mm)),
          csv_number(mm(rivet.length_mm)),
          csv_number(mm(rivet.closing_head.diameter_mm)),
          csv_number(mm(rivet.closing_head.height_mm)),
          csv_number(rivet.cup ? mm(rivet.cup->radius_mm) : Number()),
          csv_number(std::round(rivet.hot.tonnes() * 10.0) / 10.0)};
}

/// Seat, outside, wall and bore of a bush, or empty cells.
Row bush_cells(const LayerBush* bush) {
  if (bush == nullptr || !bush->design) return Row(8);
  const fasteners::BushDesign& design = *bush->design;
  return {csv_number(mm(bush->seat_mm)),
          bush->seat_class,
          csv_number(mm(design.outside.min_mm())),
          csv_number(mm(design.outside.max_mm())),
          csv_number(mm(design.wall_mm)),
          csv_number(mm(bush->turned_bore_mm)),
          csv_number(bush->reamed ? mm(design.bore.min_mm()) : Number()),
          csv_number(bush->reamed ? mm(design.bore.max_mm()) : Number())};
}

/// A bolt's cells of which a bush has only its length.
Row bush_length_cells(const LayerBush& bush) {
  constexpr std::size_t kLength = 7;
  Row cells = bolt_cells(nullptr, nullptr);
  cells[kLength] = csv_number(mm(bush.length_mm));
  return cells;
}

void append_cells(Row& row, const Row& more) { row.insert(row.end(), more.begin(), more.end()); }

Row bush_row(const FastenerSchedule& schedule, std::size_t index) {
  const LayerBush& bush = schedule.bushes[index];
  const StackFastener& stack = schedule.stacks[bush.stack];
  const BushPiece* piece = schedule.piece_of_bush(index);
  Row row{piece != nullptr ? piece->mark : "",
          csv_field(stack.place.plate),
          csv_field(stack.place.id),
          "bush",
          csv_field(stack.name),
          csv_number(mm(bush.finish_mm)),
          csv_number(mm(bush.length_mm)),
          csv_field(fmt::format("{} of {}", bush.hole, bush.part))};
  append_cells(row, bush_length_cells(bush));
  append_cells(row, Row(6));
  append_cells(row, bush_cells(&bush));
  row.push_back(csv_field(bush.open));
  row.push_back(csv_field(bush_note(bush)));
  return row;
}

}  // namespace

std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\n\r") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  return quoted + '"';
}

std::string csv_number(std::optional<double> value) {
  return value && std::isfinite(*value) ? fmt::format("{}", *value + 0.0) : std::string();
}

std::string fasteners_csv(const FastenerSchedule& schedule) {
  std::string csv =
      "mark,plate,hole,kind,fastener,finish_diameter,grip,layers,shank_min,shank_max,blank,thread,plain_"
      "length,"
      "relief_length,relief_diameter,length,head_diameter,head_height,form_radius,flat,nut_washer,rivet,"
      "rivet_length,rivet_head_diameter,rivet_head_height,set_radius,press_tonnes,seat,seat_class,"
      "outside_min,outside_max,wall,turned_bore,bore_min,bore_max,open,notes\n";
  std::size_t bush = 0;
  for (std::size_t i = 0; i < schedule.stacks.size(); ++i) {
    const StackFastener& stack = schedule.stacks[i];
    const FastenerPiece* piece = schedule.piece_of(stack.place);
    Row row{piece != nullptr ? piece->mark : "",
            csv_field(stack.place.plate),
            csv_field(stack.place.id),
            fasteners::kind_name(stack.kind),
            csv_field(stack.name),
            csv_number(mm(stack.finish_mm)),
            csv_number(mm(grip_mm(stack))),
            csv_field(grip_words(stack.layers))};
    append_cells(row, bolt_cells(stack.bolt ? &*stack.bolt : nullptr, piece));
    append_cells(row, rivet_cells(stack));
    append_cells(row, bush_cells(nullptr));
    row.push_back(csv_field(stack.open));
    row.push_back(csv_field(fmt::format("{}", fmt::join(stack.notes, " "))));
    csv += line_of(row);
    for (; bush < schedule.bushes.size() && schedule.bushes[bush].stack == i; ++bush)
      csv += line_of(bush_row(schedule, bush));
  }
  return csv;
}

std::string turning_csv(const FastenerSchedule& schedule) {
  std::string csv =
      "mark,quantity,kind,holes,shank_min,shank_max,blank,thread,plain_length,relief_length,relief_diameter,"
      "length,head_diameter,head_height,form_radius,flat,nut_washer,seat,seat_class,"
      "outside_min,outside_max,wall,turned_bore,bore_min,bore_max,bar,bar_length\n";
  for (const FastenerPiece& piece : schedule.pieces) {
    if (!piece.turning) continue;
    std::vector<HolePlace> places;
    for (const std::size_t i : piece.stacks) places.push_back(schedule.stacks[i].place);
    Row row{piece.mark, fmt::format("{}", piece.stacks.size()), fasteners::kind_name(piece.kind),
            csv_field(places_words(places))};
    append_cells(row, bolt_cells(&piece.turning->design, &piece));
    append_cells(row, bush_cells(nullptr));
    row.push_back(csv_field(piece.turning->bar.name));
    row.push_back(csv_number(mm(piece.turning->piece_mm)));
    csv += line_of(row);
  }
  for (const BushPiece& piece : schedule.bush_pieces) {
    const LayerBush& bush = schedule.bushes[piece.bushes.front()];
    Row row{piece.mark, fmt::format("{}", piece.bushes.size()), "bush",
            csv_field(bush_places_words(schedule, piece))};
    append_cells(row, bush_length_cells(bush));
    append_cells(row, bush_cells(&bush));
    row.push_back(piece.bar ? csv_field(piece.bar->name) : "");
    row.push_back(csv_number(mm(piece.piece_mm)));
    csv += line_of(row);
  }
  return csv;
}

std::string buying_csv(const FastenerSchedule& schedule) {
  std::string csv = "what,pieces,length\n";
  for (const fasteners::BuyingLine& line : schedule.buying) {
    const std::string quantity = fmt::format("{}", line.quantity);
    csv += line_of({csv_field(line.what), line.is_length ? "" : quantity, line.is_length ? quantity : ""});
  }
  return csv;
}

}  // namespace fairhole::job
