// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/load.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "check_names.h"
#include "fairhole/job/files.h"
#include "json_text.h"
#include "node.h"
#include "pairs.h"
#include "read_sections.h"

namespace fairhole::job {
namespace {

namespace fs = std::filesystem;

constexpr const char* kFormat = "fairhole job 1";

void read_head(Node& root, Job& job) {
  const std::string format = root.text("format");
  if (!format.empty() && format != kFormat) {
    root.context().problems.push_back({codes::kJobFormat, root.where("format"),
                                       fmt::format("\"{}\" is a format this program does not read", format),
                                       fmt::format("write \"{}\"", kFormat)});
  }
  job.title = root.text("title");
  job.date = root.text("date", false);
  if (!job.date.empty() && !is_iso_date(job.date)) {
    root.context().problems.push_back({codes::kJobBadDate, root.where("date"),
                                       fmt::format("\"{}\" is no date", job.date), "write it as 2026-11-25"});
  }
  root.context().units = root.word("units", {"mm", "in"}) == "in" ? Unit::kInch : Unit::kMm;
}

/// Reads until the job has more holes than any; a short file can ask for more than there is memory.
void read_groups(Node& root, const Patterns& patterns, Job& job) {
  std::size_t holes = 0;
  for (const Node& node : root.list("hole_groups", true)) {
    job.groups.push_back(read_group(node, patterns));
    holes += job.groups.back().holes.size();
    if (holes <= kMostHolesOfAJob) continue;
    node.problem(codes::kJobTooLarge, fmt::format("{} holes up to here", holes),
                 fmt::format("a job takes up to {}; look at the counts", kMostHolesOfAJob));
    return;
  }
}

void read_body(Node& root, Job& job) {
  read_catalogues(root, job);
  const Catalogue catalogue = merged(job.own_catalogue, standard_catalogue());
  for (const Node& node : root.list("plates")) job.plates.push_back(read_plate(node));
  for (const Node& node : root.list("parts", true)) job.parts.push_back(read_part(node, catalogue));
  const Patterns patterns = read_patterns(root, job);
  read_groups(root, patterns, job);
  for (const Node& node : root.list("joints", true)) job.joints.push_back(read_joint(node));
  for (Node& node : root.list("pairs")) job.pairs.push_back(read_pair(node));
  for (const auto& [name, node] : root.entries("fasteners", true))
    job.fasteners[name] = read_fastener(name, node, catalogue, job.making[name]);
  read_rules(root, job);
  job.outputs = read_outputs(root);
  root.done();
}

/// What follows from the whole: the hand of each seat and the errors of the way of drilling.
void derive(Job& job) {
  for (Joint& joint : job.joints) {
    const Face* face = job.face(joint.part, joint.face);
    // Seen through the marked face: docs/decisions/0004-frames-and-hands.md.
    joint.seat.motion.mirrored = joint.on_marked_face == (face->measured_from == Surface::kFaying);
  }
  const DrillingWay way = job.plates.empty() ? DrillingWay::kMarkedOut : job.plates.front().drilled;
  job.rules.drilling = drilling_errors(way, job.outputs.mark_step_mm);
  job.rules.own_drills = job.own_catalogue.drills;
}

}  // namespace

bool is_iso_date(const std::string& text) {
  static constexpr int kDays[] = {31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
  for (const std::size_t i : {0U, 1U, 2U, 3U, 5U, 6U, 8U, 9U}) {
    if (text[i] < '0' || text[i] > '9') return false;
  }
  const int month = std::stoi(text.substr(5, 2)), day = std::stoi(text.substr(8, 2));
  return month >= 1 && month <= 12 && day >= 1 && day <= kDays[month - 1];
}

Result<Job> parse_job(std::string_view text, const std::string& file, const std::string& folder) {
  const Result<nlohmann::ordered_json> json = parse_json(text, file);
  if (!json) return json.problems();
  NodeContext context{file, Unit::kMm, {}};
  Node root(*json, context, "");
  if (!root.is_object()) {
    root.done();
    return context.problems;
  }
  Job job;
  job.file = file;
  job.folder = folder;
  read_head(root, job);
  read_body(root, job);
  if (!context.problems.empty()) return context.problems;
  Problems misfits = check_names(job);
  if (misfits.empty()) misfits = relate_pairs(job);
  if (!misfits.empty()) return misfits;
  derive(job);
  return job;
}

Result<Job> load_job(const std::string& path) {
  std::error_code error;
  const bool is_folder = fs::is_directory(path, error);
  const fs::path file = is_folder ? fs::path(path) / "job.json" : fs::path(path);
  if (!fs::exists(file, error)) {
    return Problem{codes::kJobMissing, path,
                   is_folder ? "the folder holds no job.json" : "there is no such file or folder",
                   "name a job folder or a job file; \"fairhole new DIR\" makes an example"};
  }
  const Result<std::string> text = read_file(file.string(), file.string());
  if (!text) return text.problems();
  return parse_job(*text, file.string(), file.parent_path().string());
}

}  // namespace fairhole::job
