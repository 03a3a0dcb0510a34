// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fastener_tables.h"

#include <fmt/format.h>

#include <algorithm>

#include "fairhole/base/length.h"
#include "fairhole/report/fastener_sheets.h"
#include "words.h"

namespace fairhole::report {
namespace {

constexpr auto kRight = drawing::Align::kRight;

Column mark_column() { return {"mark", drawing::Align::kLeft, false, true, 11.0}; }
Column count_column() { return {"off", kRight, false, false, 9.0}; }

Column wrapping(const char* head) { return {.head = head, .wraps = true}; }

const StackFastener& first_of(const FastenerSchedule& schedule, const FastenerPiece& piece) {
  return schedule.stacks[piece.stacks.front()];
}

std::string count_of(const FastenerPiece& piece) { return fmt::format("{}", piece.stacks.size()); }

/// Lines with the same text after the key, keys together in the order they come.
struct Gathered {
  std::string text;
  std::vector<HolePlace> places;
};
void gather(std::vector<Gathered>& all, const std::string& text, const HolePlace& place) {
  const auto known =
      std::find_if(all.begin(), all.end(), [&](const Gathered& entry) { return entry.text == text; });
  (known != all.end() ? *known : all.emplace_back(Gathered{text, {}})).places.push_back(place);
}

Table gathered_table(const char* what, const std::vector<Gathered>& all) {
  Table table{{wrapping("holes"), wrapping(what)}, {}};
  for (const Gathered& entry : all) table.rows.push_back({places_words(entry.places), entry.text});
  return table;
}

}  // namespace

std::vector<HolePlace> places_of(const FastenerSchedule& schedule, const FastenerPiece& piece) {
  std::vector<HolePlace> places;
  for (const std::size_t i : piece.stacks) places.push_back(schedule.stacks[i].place);
  return places;
}

std::string piece_grip_words(const FastenerSchedule& schedule, const FastenerPiece& piece) {
  std::vector<fasteners::GripLayer> layers = first_of(schedule, piece).layers;
  for (const std::size_t i : piece.stacks) {
    const bool alike = std::equal(
        layers.begin(), layers.end(), schedule.stacks[i].layers.begin(), schedule.stacks[i].layers.end(),
        [](const auto& a, const auto& b) { return a.thickness_mm == b.thickness_mm; });
    if (!alike) return grip_words(layers) + ", others as long";
  }
  for (std::size_t at = 0; at < layers.size(); ++at) {
    std::vector<std::string> parts;
    for (const std::size_t i : piece.stacks) {
      const std::string& part = schedule.stacks[i].layers[at].part;
      if (std::find(parts.begin(), parts.end(), part) == parts.end()) parts.push_back(part);
    }
    if (parts.size() == 2) layers[at].part = parts[0] + " or " + parts[1];
    if (parts.size() > 2) layers[at].part = fmt::format("{} and {} others", parts[0], parts.size() - 1);
  }
  return grip_words(layers);
}

std::string holes_range(const FastenerSchedule& schedule, const FastenerPiece& piece) {
  double least = first_of(schedule, piece).finish_mm, most = least;
  for (const std::size_t i : piece.stacks) {
    least = std::min(least, schedule.stacks[i].finish_mm);
    most = std::max(most, schedule.stacks[i].finish_mm);
  }
  return piece.to_own_bore ? range_words(found_mm(least), found_mm(most), "")
                           : range_words(size_mm(least), size_mm(most), "");
}

std::string washer_words(const fasteners::BoltDesign& bolt) {
  if (bolt.into_thread) return "none, into the thread";
  const std::string outside =
      bolt.nut_washer_outside_mm > 0.0 ? fmt::format(" x {}", size_mm(bolt.nut_washer_outside_mm)) : "";
  return fmt::format("{}{} x {} mm{}", size_mm(bolt.nut_washer_hole_mm), outside, size_mm(bolt.nut_washer_mm),
                     bolt.washer_made ? ", made" : "");
}

std::string head_words(const fasteners::BoltDesign& bolt) {
  if (bolt.hexagon) return fmt::format("hexagon {} A/F", size_mm(bolt.head.diameter_mm));
  return fmt::format("{} {} x {}", bolt.head.form == HeadForm::kPan ? "pan" : "snap",
                     size_mm(bolt.head.diameter_mm), size_mm(bolt.head.height_mm));
}

const fasteners::BoltDesign* design_of(const FastenerSchedule& schedule, const FastenerPiece& piece) {
  if (piece.turning) return &piece.turning->design;
  const StackFastener& stack = first_of(schedule, piece);
  return stack.bolt ? &*stack.bolt : nullptr;
}

Table bolt_table(const FastenerSchedule& schedule) {
  Table table{{mark_column(),
               count_column(),
               wrapping("kind"),
               wrapping("holes"),
               wrapping("grip, mm"),
               {"hole, mm", kRight},
               wrapping("shank, mm"),
               {"plain", kRight, false, false, 12.0},
               {"length", kRight, false, false, 13.0},
               {"thread", drawing::Align::kLeft, false, false, 16.0},
               wrapping("head, mm"),
               wrapping("washer at the nut")},
              {}};
  table.height_mm = 2.0;
  for (const FastenerPiece& piece : schedule.pieces) {
    const fasteners::BoltDesign* bolt = design_of(schedule, piece);
    if (bolt == nullptr) continue;
    const bool shelf = piece.bought && bolt->stock;
    table.rows.push_back({piece.mark, count_of(piece), fasteners::kind_name(piece.kind),
                          places_words(places_of(schedule, piece)), piece_grip_words(schedule, piece),
                          holes_range(schedule, piece),
                          shelf ? size_mm(bolt->thread.major_mm) : shank_words(piece),
                          size_mm(shelf ? bolt->stock->run_out_from_mm : bolt->shank_mm),
                          size_mm(shelf ? bolt->stock->length_mm : bolt->length_mm), bolt->thread.name(),
                          shelf ? "off the shelf" : head_words(*bolt), washer_words(*bolt)});
  }
  return table;
}

Table rivet_table(const FastenerSchedule& schedule) {
  Table table{{mark_column(),
               count_column(),
               wrapping("holes"),
               wrapping("grip, mm"),
               {"hole, mm", kRight},
               {"rivet, mm", kRight},
               {"cut to, mm", kRight},
               {"trial from - to"},
               {"heads, mm"},
               {"set: radius, depth"},
               {"press, hot"}},
              {}};
  table.height_mm = 2.0;
  for (const FastenerPiece& piece : schedule.pieces) {
    const StackFastener& stack = first_of(schedule, piece);
    if (!stack.rivet) continue;
    const fasteners::RivetDesign& rivet = *stack.rivet;
    table.rows.push_back(
        {piece.mark, count_of(piece), places_words(places_of(schedule, piece)),
         piece_grip_words(schedule, piece), holes_range(schedule, piece), size_mm(rivet.rivet_mm),
         format_mm(rivet.length_mm, 1),
         fmt::format("{} - {}", format_mm(rivet.least_length_mm, 1), format_mm(rivet.most_length_mm, 1)),
         fmt::format("{} x {}", size_mm(rivet.closing_head.diameter_mm),
                     size_mm(rivet.closing_head.height_mm)),
         rivet.cup ? fmt::format("{}, {}", size_mm(rivet.cup->radius_mm), size_mm(rivet.cup->depth_mm)) : "",
         fmt::format("about {:.0f} t", rivet.hot.tonnes())});
  }
  return table;
}

Table bush_table(const FastenerSchedule& schedule) {
  Table table{{mark_column(),
               count_column(),
               wrapping("holes"),
               {"seat, mm", kRight},
               wrapping("outside, mm"),
               {"wall", kRight, false, false, 11.0},
               {"length", kRight, false, false, 13.0},
               {"bore turned", kRight, false, false, 13.0},
               wrapping("bore in place, mm"),
               wrapping("how")},
              {}};
  table.height_mm = 2.0;
  for (const BushPiece& piece : schedule.bush_pieces) {
    const LayerBush& bush = schedule.bushes[piece.bushes.front()];
    table.rows.push_back(
        {piece.mark, fmt::format("{}", piece.bushes.size()), bush_places_words(schedule, piece),
         fmt::format("{} {}", size_mm(bush.seat_mm), bush.seat_class), limits_words(bush.design->outside),
         format_mm(bush.design->wall_mm, 1), size_mm(bush.length_mm), size_mm(bush.turned_bore_mm),
         bush_bore_words(bush), bush_note(bush)});
  }
  return table;
}

Table open_table(const FastenerSchedule& schedule) {
  std::vector<Gathered> all;
  for (const StackFastener& stack : schedule.stacks) {
    if (!stack.open.empty()) gather(all, stack.open, stack.place);
  }
  for (const LayerBush& bush : schedule.bushes) {
    if (!bush.open.empty()) gather(all, bush.open, schedule.stacks[bush.stack].place);
  }
  return gathered_table("why", all);
}

Table note_table(const FastenerSchedule& schedule) {
  Table table{{{"marks"}, wrapping("note")}, {}};
  std::vector<std::pair<std::string, std::vector<std::string>>> notes;
  for (const FastenerPiece& piece : schedule.pieces) {
    for (const std::size_t i : piece.stacks) {
      for (const std::string& note : schedule.stacks[i].notes) {
        auto known = std::find_if(notes.begin(), notes.end(), [&](const auto& n) { return n.first == note; });
        if (known == notes.end()) known = notes.insert(notes.end(), {note, {}});
        if (known->second.empty() || known->second.back() != piece.mark) known->second.push_back(piece.mark);
      }
    }
  }
  for (auto& [note, marks] : notes) {
    marks.erase(std::unique(marks.begin(), marks.end()), marks.end());
    table.rows.push_back(
        {marks.size() > 6 ? fmt::format("{} to {}", marks.front(), marks.back()) : list_words(marks), note});
  }
  return table;
}

Table trade_off_table(const FastenerSchedule& schedule) {
  Table table{{wrapping("bolts alike in kind, thread and head"),
               {"holes", kRight},
               {"sizes of shank", kRight},
               {"the lathe may be off by, mm", kRight},
               wrapping("")},
              {}};
  for (const BatchTradeOff& batch : schedule.trade_offs) {
    bool first = true;
    for (const fasteners::GroupingChoice& choice : batch.choices) {
      table.rows.push_back(
          {first ? batch.batch : "", first ? fmt::format("{}", batch.holes) : "",
           fmt::format("{}", choice.groups), format_mm(choice.turning_mm, 3),
           first && batch.as_found ? "by the old holes as found: to be settled when reamed" : ""});
      first = false;
    }
  }
  return table;
}

Table buying_table(const FastenerSchedule& schedule) {
  Table table{{wrapping("what"), {"pieces", kRight}, {"length, mm", kRight}}, {}};
  for (const fasteners::BuyingLine& line : schedule.buying) {
    const std::string count = fmt::format("{}", line.quantity);
    table.rows.push_back({line.what, line.is_length ? "" : count, line.is_length ? count : ""});
  }
  return table;
}

Table sense_table(const SenseReport& sense) {
  Table table{{wrapping("holes"), wrapping("what stands out")}, {}};
  for (const SenseFlag& flag : sense.flags) table.rows.push_back({places_words(flag.places), flag.text});
  return table;
}

}  // namespace fairhole::report
