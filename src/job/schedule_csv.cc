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
          csv_number(mm(bolt->nut_washer_mm))};
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

void append_cells(Row& row, const Row& more) { row.insert(row.end(), more.begin(), more.end()); }

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
      "rivet_length,rivet_head_diameter,rivet_head_height,set_radius,press_tonnes,open,notes\n";
  for (const StackFastener& stack : schedule.stacks) {
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
    row.push_back(csv_field(stack.open));
    row.push_back(csv_field(fmt::format("{}", fmt::join(stack.notes, " "))));
    csv += line_of(row);
  }
  return csv;
}

std::string turning_csv(const FastenerSchedule& schedule) {
  std::string csv =
      "mark,quantity,kind,holes,shank_min,shank_max,blank,thread,plain_length,relief_length,relief_diameter,"
      "length,head_diameter,head_height,form_radius,flat,nut_washer,bar,bar_length\n";
  for (const FastenerPiece& piece : schedule.pieces) {
    if (!piece.turning) continue;
    std::vector<HolePlace> places;
    for (const std::size_t i : piece.stacks) places.push_back(schedule.stacks[i].place);
    Row row{piece.mark, fmt::format("{}", piece.stacks.size()), fasteners::kind_name(piece.kind),
            csv_field(places_words(places))};
    append_cells(row, bolt_cells(&piece.turning->design, &piece));
    row.push_back(csv_field(piece.turning->bar.name));
    row.push_back(csv_number(mm(piece.turning->piece_mm)));
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
