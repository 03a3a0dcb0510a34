// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <map>
#include <string_view>

#include "answers.h"

namespace fairhole::embedded {
extern const std::string_view index_html, bench_css, ask_js, bench_js, csv_js, dom_js, draw_js, fairing_js,
    form_js, job_station_js, job_text_js, paper_js, readings_js, store_js, moon_js, flat_view_js,
    photo_marks_js, photo_place_js, photo_set_js, photo_together_js, photos_js, help_js, enter_html, enter_js,
    add_part_js, add_joint_js, add_holes_js, adder_js, outline_pad_js, path_js, seat_fields_js,
    part_picture_js, dxf_view_js, seats_js, stack_detail_js, figures_js, job_schema_json;
}  // namespace fairhole::embedded

namespace fairhole::bench {

std::optional<Reply> page_file(const std::string& name) {
  using namespace embedded;  // NOLINT(google-build-using-namespace): nothing else is spoken of here
  static const char* const kScript = "text/javascript; charset=utf-8";
  struct PageFile {
    const char* type;
    std::string_view text;
  };
  static const std::map<std::string, PageFile> kFiles = {
      {"index.html", {"text/html; charset=utf-8", index_html}},
      {"bench.css", {"text/css; charset=utf-8", bench_css}},
      {"job.schema.json", {"application/json", job_schema_json}},
      {"ask.js", {kScript, ask_js}},
      {"bench.js", {kScript, bench_js}},
      {"csv.js", {kScript, csv_js}},
      {"dom.js", {kScript, dom_js}},
      {"draw.js", {kScript, draw_js}},
      {"enter.html", {"text/html; charset=utf-8", enter_html}},
      {"enter.js", {kScript, enter_js}},
      {"fairing.js", {kScript, fairing_js}},
      {"form.js", {kScript, form_js}},
      {"job_station.js", {kScript, job_station_js}},
      {"job_text.js", {kScript, job_text_js}},
      {"moon.js", {kScript, moon_js}},
      {"paper.js", {kScript, paper_js}},
      {"flat_view.js", {kScript, flat_view_js}},
      {"photo_marks.js", {kScript, photo_marks_js}},
      {"photo_place.js", {kScript, photo_place_js}},
      {"photo_set.js", {kScript, photo_set_js}},
      {"photo_together.js", {kScript, photo_together_js}},
      {"photos.js", {kScript, photos_js}},
      {"seats.js", {kScript, seats_js}},
      {"stack_detail.js", {kScript, stack_detail_js}},
      {"figures.js", {kScript, figures_js}},
      {"dxf_view.js", {kScript, dxf_view_js}},
      {"add_part.js", {kScript, add_part_js}},
      {"add_joint.js", {kScript, add_joint_js}},
      {"add_holes.js", {kScript, add_holes_js}},
      {"adder.js", {kScript, adder_js}},
      {"outline_pad.js", {kScript, outline_pad_js}},
      {"path.js", {kScript, path_js}},
      {"seat_fields.js", {kScript, seat_fields_js}},
      {"part_picture.js", {kScript, part_picture_js}},
      {"help.js", {kScript, help_js}},
      {"readings.js", {kScript, readings_js}},
      {"store.js", {kScript, store_js}}};
  const auto found = kFiles.find(name);
  if (found == kFiles.end()) return std::nullopt;
  return Reply{200, found->second.type, std::string(found->second.text)};
}

}  // namespace fairhole::bench
