// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/report/report_html.h"

#include <fmt/format.h>

#include "report_sections.h"
#include "report_style.h"
#include "words.h"

namespace fairhole {
namespace report {

Html warnings_section(const ReportInput& input) {
  std::vector<std::string> all = input.plan.warnings;
  all.insert(all.end(), input.warnings.begin(), input.warnings.end());
  if (!input.open_loops.empty()) {
    all.push_back(fmt::format("{} pull apart what must move as one: see \"How to set each part\".",
                              count_words(input.open_loops.size(), "part's holes", "parts' holes")));
  }
  if (all.empty()) return {};
  Html out = element("h2", "Warnings", "id=\"warnings\"");
  out += bullets(all, "trouble");
  return out;
}

Html files_section(const ReportInput& input) {
  if (input.files.empty()) return {};
  std::vector<std::string> lines;
  for (const WrittenFile& file : input.files) lines.push_back(file.name + ": " + file.purpose);
  Html out = element("h2", "Paper and files", "id=\"files\"");
  out += bullets(lines);
  return out;
}

Html cautions_section() {
  Html out = element("h2", "Cautions", "id=\"cautions\"");
  out += bullets(cautions());
  return out;
}

namespace {

Html page_head(const ReportInput& input) {
  Html out = element("h1", input.title.job);
  out += paragraph(fmt::format("{}  \u00B7  plan {}", input.title.date, input.title.plan_hash), "facts");
  if (input.not_to_be_drilled) out += paragraph("NOT TO BE DRILLED", "banner");
  return element("header", out);
}

}  // namespace
}  // namespace report

Result<std::string> report_html(const ReportInput& input) {
  using namespace report;
  const Letters letters = part_letters(input.plan);
  Html body = summary_section(input);
  body += cautions_section();
  body += warnings_section(input);
  body += parts_section(input, letters);
  for (auto section : {readings_section(input), seats_section(input), plates_section(input),
                       holes_section(input, letters)}) {
    if (!section) return section.problems();
    body += *section;
  }
  body += fasteners_section(input);
  body += alternatives_section(input);
  body += files_section(input);
  const std::string title = escaped(input.title.job).text;
  return fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
      "<title>{}</title>\n<style>{}</style>\n</head>\n<body>\n{}{}</body>\n</html>\n",
      title, kReportStyle, page_head(input).text, element("main", body).text);
}

}  // namespace fairhole
