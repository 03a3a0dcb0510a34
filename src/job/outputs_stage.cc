// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "outputs_stage.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <functional>
#include <string_view>

#include "fairhole/drawing/writers.h"
#include "fairhole/report/fastener_sheets.h"
#include "fairhole/report/sheets.h"
#include "fairhole/report/work_order_sheets.h"
#include "schedule_csv.h"

namespace fairhole::job {
namespace {

drawing::TileOptions tile_options(const Outputs& outputs) {
  drawing::TileOptions options;
  options.paper = outputs.paper;
  options.single_sheet = outputs.single_sheet;
  options.mirrored = outputs.mirrored_template;
  options.scale_x = drawing::kCheckBarMm / outputs.template_check_x_mm.value_or(drawing::kCheckBarMm);
  options.scale_y = drawing::kCheckBarMm / outputs.template_check_y_mm.value_or(drawing::kCheckBarMm);
  return options;
}

/// One drawing that may fail.
struct Draft {
  std::string name, purpose;
  std::function<Result<std::string>()> bytes;
};

Result<std::string> pdf(const Result<std::vector<drawing::Page>>& pages, const std::string& title,
                        long long created) {
  if (!pages) return pages.problems();
  return drawing::write_pdf(*pages, {title, "fairhole", created});
}

std::vector<Draft> drafts(const PlateLayout& layout, const std::vector<SeatPlan>& seats,
                          const SheetTitle& title, const Outputs& outputs,
                          const std::string& way_of_drilling) {
  const long long created = unix_seconds(title.date);
  std::vector<SeatPlan> here;
  for (const SeatPlan& seat : seats) {
    if (seat.plate == layout.plate) here.push_back(seat);
  }
  return {{layout.plate + ".dxf", fmt::format("drawing of plate {} for CNC or laser", layout.plate),
           [=] { return drawing::write_dxf(plate_dxf(layout, title, {outputs.dxf_pilots}), {outputs.dxf}); }},
          {layout.plate + "-template.pdf", fmt::format("full-size template of plate {}", layout.plate),
           [=] {
             return pdf(plate_template(layout, title, tile_options(outputs)), layout.plate + ", template",
                        created);
           }},
          {layout.plate + "-sheet.pdf", fmt::format("drilling sheet of plate {}", layout.plate), [=] {
             SheetOptions options;
             options.paper = outputs.paper;
             options.way_of_drilling = way_of_drilling;
             return pdf(drilling_sheet(layout, here, title, options), layout.plate + ", drilling sheet",
                        created);
           }}};
}

}  // namespace

long long unix_seconds(const std::string& date) {
  if (date.empty()) return 0;
  using namespace std::chrono;
  const year_month_day day{year(std::stoi(date.substr(0, 4))),
                           month(static_cast<unsigned>(std::stoi(date.substr(5, 2)))),
                           std::chrono::day(static_cast<unsigned>(std::stoi(date.substr(8, 2))))};
  return duration_cast<seconds>(sys_days(day).time_since_epoch()).count();
}

Result<Outputs> wanted_outputs(const Outputs& of_job, const RunOptions& options) {
  Outputs outputs = of_job;
  if (options.paper) {
    const Result<drawing::Paper> paper = drawing::paper_from_name(*options.paper);
    if (!paper) return paper.problems();
    outputs.paper = *paper;
  }
  if (options.template_check_x_mm) outputs.template_check_x_mm = options.template_check_x_mm;
  if (options.template_check_y_mm) outputs.template_check_y_mm = options.template_check_y_mm;
  outputs.single_sheet |= options.single_sheet;
  outputs.mirrored_template |= options.mirrored_template;
  outputs.dxf_pilots |= options.dxf_pilots;
  if (options.dxf_r12) outputs.dxf = drawing::DxfVersion::kR12;
  return outputs;
}

std::string run_date(const Job& job, const RunOptions& options) {
  return job.date.empty() && options.source_date_epoch ? date_of_seconds(*options.source_date_epoch)
                                                       : job.date;
}

std::string date_of_seconds(long long seconds) {
  using namespace std::chrono;
  const year_month_day day{floor<days>(sys_seconds(std::chrono::seconds(seconds)))};
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(day.year()), static_cast<unsigned>(day.month()),
                     static_cast<unsigned>(day.day()));
}

Result<std::vector<ResultFile>> draw_plates(const std::vector<PlateLayout>& layouts,
                                            const std::vector<SeatPlan>& seats, const SheetTitle& title,
                                            const Outputs& outputs, const std::string& way_of_drilling) {
  std::vector<ResultFile> files;
  Problems problems;
  for (const PlateLayout& layout : layouts) {
    for (const Draft& draft : drafts(layout, seats, title, outputs, way_of_drilling)) {
      Result<std::string> bytes = draft.bytes();
      if (bytes) {
        files.push_back({draft.name, draft.purpose, *std::move(bytes)});
        continue;
      }
      for (Problem problem : bytes.problems()) {
        problem.where = draft.name + (problem.where.empty() ? "" : ": " + problem.where);
        problems.push_back(std::move(problem));
      }
    }
  }
  if (!problems.empty()) return problems;
  return files;
}

std::vector<ResultFile> drill_programs(const Job& job, const ReportInput& report) {
  std::vector<ResultFile> files;
  for (const PlateLayout& layout : report.layouts) {
    const Plate* plate = job.plate(layout.plate);
    if (plate == nullptr || !plate->drill_setup) continue;
    std::string program = drill_program(layout, report.title, *plate->drill_setup);
    if (!program.empty())
      files.push_back(
          {layout.plate + ".ngc", fmt::format("drill program of plate {}", layout.plate), program});
  }
  return files;
}

Result<std::vector<ResultFile>> fastener_files(const ReportInput& report, const Outputs& outputs) {
  const Result<std::string> sheets =
      pdf(fastener_sheets(report.schedule, report.sense, report.title, outputs.paper), "fasteners",
          unix_seconds(report.title.date));
  if (!sheets) return sheets.problems();
  std::vector<ResultFile> files{
      {"fasteners.pdf", "fastener schedule, turning list and buying list", *sheets},
      {"turning-list.csv", "the bolts to turn, for a spreadsheet", turning_csv(report.schedule)},
      {"buying-list.csv", "what to buy, for a spreadsheet", buying_csv(report.schedule)}};
  for (const PlateLayout& layout : report.layouts) {
    const Result<std::string> order =
        pdf(work_order_sheets(layout, report.plan.seats, report.schedule, report.title, outputs.paper),
            layout.plate + ", work order", unix_seconds(report.title.date));
    if (!order) return order.problems();
    files.push_back(
        {layout.plate + "-order.pdf", fmt::format("work order of plate {}", layout.plate), *order});
  }
  return files;
}

Result<std::vector<ResultFile>> face_pictures(const std::vector<FaceFindings>& faces) {
  std::vector<ResultFile> files;
  for (const FaceFindings& face : faces)
    for (std::size_t i = 0; i < face.pictures.size(); ++i) {
      std::string name =
          fmt::format("{}-{}-photo{}", face.part, face.face, i == 0 ? "" : fmt::format("-{}", i + 1));
      for (char& c : name)
        if (std::string_view("/\\:*?\"<>|").find(c) != std::string_view::npos ||
            static_cast<unsigned char>(c) < 0x20)
          c = '_';
      const auto taken = [&](const ResultFile& file) { return file.name == name + ".svg"; };
      while (std::any_of(files.begin(), files.end(), taken)) name += "_";
      Result<std::string> svg = face_picture_svg(face.pictures[i]);
      if (!svg) return svg.problems();
      files.push_back(
          {name + ".svg", fmt::format("{}, {} as photographed", face.part, face.face), *std::move(svg)});
    }
  return files;
}

}  // namespace fairhole::job
