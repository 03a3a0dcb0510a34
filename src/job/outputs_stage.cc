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

/// One drawing that may fail, as one or several files.
struct Draft {
  std::string name;
  std::function<Result<std::vector<ResultFile>>()> files;
};

/// A sheet as PDF, and as pictures where they are asked for: "left-toe-sheet-page-1.svg".
Result<std::vector<ResultFile>> sheet_files(const std::string& name, const std::string& purpose,
                                            const Result<std::vector<drawing::Page>>& pages,
                                            const drawing::PdfOptions& options, bool pictures) {
  if (!pages) return pages.problems();
  const Result<std::string> pdf = drawing::write_pdf(*pages, options);
  if (!pdf) return pdf.problems();
  std::vector<ResultFile> files{{name + ".pdf", purpose, *pdf}};
  for (std::size_t i = 0; pictures && i < pages->size(); ++i) {
    const Result<std::string> svg = drawing::write_svg((*pages)[i]);
    if (!svg) return svg.problems();
    files.push_back({fmt::format("{}-page-{}.svg", name, i + 1),
                     fmt::format("page {} of {}.pdf as a picture", i + 1, name), *svg, true});
  }
  return files;
}

std::vector<Draft> drafts(const PlateLayout& layout, const std::vector<SeatPlan>& seats,
                          const SheetTitle& title, const Outputs& outputs,
                          const std::string& way_of_drilling) {
  const long long created = unix_seconds(title.date);
  std::vector<SeatPlan> here;
  for (const SeatPlan& seat : seats) {
    if (seat.plate == layout.plate) here.push_back(seat);
  }
  const auto sheet = [&](const char* ending, const std::string& purpose, const char* title_words,
                         const std::function<Result<std::vector<drawing::Page>>()>& pages) -> Draft {
    const std::string name = layout.plate + ending;
    const drawing::PdfOptions options{layout.plate + title_words, "fairhole", created};
    return {name + ".pdf",
            [=, &outputs] { return sheet_files(name, purpose, pages(), options, outputs.page_pictures); }};
  };
  const std::string dxf = layout.plate + ".dxf";
  return {{dxf,
           [&layout, &title, &outputs, dxf]() -> Result<std::vector<ResultFile>> {
             const Result<std::string> bytes =
                 drawing::write_dxf(plate_dxf(layout, title, {outputs.dxf_pilots}), {outputs.dxf});
             if (!bytes) return bytes.problems();
             return std::vector<ResultFile>{
                 {dxf, fmt::format("drawing of plate {} for CNC or laser", layout.plate), *bytes}};
           }},
          sheet("-template", fmt::format("full-size template of plate {}", layout.plate), ", template",
                [&layout, &title, &outputs] { return plate_template(layout, title, tile_options(outputs)); }),
          sheet("-sheet", fmt::format("drilling sheet of plate {}", layout.plate), ", drilling sheet",
                [&layout, &title, &outputs, here, way_of_drilling] {
                  SheetOptions options;
                  options.paper = outputs.paper;
                  options.way_of_drilling = way_of_drilling;
                  return drilling_sheet(layout, here, title, options);
                })};
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
  outputs.page_pictures |= options.page_pictures;
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
      const Result<std::vector<ResultFile>> drawn = draft.files();
      if (drawn) {
        files.insert(files.end(), drawn->begin(), drawn->end());
        continue;
      }
      for (Problem problem : drawn.problems()) {
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
  const long long created = unix_seconds(report.title.date);
  Result<std::vector<ResultFile>> files =
      sheet_files("fasteners", "fastener schedule, turning list and buying list",
                  fastener_sheets(report.schedule, report.sense, report.title, outputs.paper),
                  {"fasteners", "fairhole", created}, outputs.page_pictures);
  if (!files) return files.problems();
  files->push_back(
      {"turning-list.csv", "the bolts to turn, for a spreadsheet", turning_csv(report.schedule)});
  files->push_back({"buying-list.csv", "what to buy, for a spreadsheet", buying_csv(report.schedule)});
  for (const PlateLayout& layout : report.layouts) {
    const Result<std::vector<ResultFile>> order = sheet_files(
        layout.plate + "-order", fmt::format("work order of plate {}", layout.plate),
        work_order_sheets(layout, report.plan.seats, report.schedule, report.title, outputs.paper),
        {layout.plate + ", work order", "fairhole", created}, outputs.page_pictures);
    if (!order) return order.problems();
    files->insert(files->end(), order->begin(), order->end());
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
