// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "fastener_tables.h"
#include "report_sections.h"
#include "words.h"

namespace fairhole::report {
namespace {

Html as_html(const Table& table) {
  std::vector<HtmlColumn> columns;
  for (const Column& column : table.columns)
    columns.push_back({column.head, column.align == drawing::Align::kRight});
  std::vector<std::vector<Html>> rows;
  for (const std::vector<std::string>& row : table.rows) {
    std::vector<Html>& cells = rows.emplace_back();
    for (const std::string& cell : row) cells.push_back(escaped(cell));
  }
  return html_table(columns, rows);
}

Html titled(const char* title, const std::string& words, const Table& table) {
  if (table.rows.empty()) return {};
  Html out = element("h3", title);
  if (!words.empty()) out += paragraph(words);
  out += as_html(table);
  return out;
}

}  // namespace

Html fasteners_section(const ReportInput& input) {
  const FastenerSchedule& schedule = input.schedule;
  if (schedule.stacks.empty()) return {};
  Html out = element("h2", "Fasteners", "id=\"fasteners\"");
  out += paragraph(fmt::format("{} for {}. Pictures to turn by, trade-off and buying list: fasteners.pdf.",
                               count_words(schedule.pieces.size(), "piece", "different pieces"),
                               count_words(schedule.stacks.size(), "hole", "holes")));
  out += titled("Left open", "", open_table(schedule));
  Html tables = titled("Bolts", "", bolt_table(schedule));
  tables += titled("Hot rivets", "", rivet_table(schedule));
  tables += titled("Notes", "", note_table(schedule));
  tables += bullets(schedule.assumed);
  out += folded(escaped("The schedule"), tables);
  if (!input.sense.flags.empty()) {
    out += element("h3", "Does it make sense?", "id=\"sense\"");
    out += paragraph(input.sense.deferral);
    out += paragraph(
        "Beside the fastener the job asks for. The nearest edge and hole are taken as lying along the load.");
    const std::string flags = count_words(input.sense.flags.size(), "thing stands out", "things stand out");
    out += folded(escaped(flags), as_html(sense_table(input.sense)));
  }
  return out;
}

}  // namespace fairhole::report
