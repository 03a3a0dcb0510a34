// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "photo_desk.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "durable.h"
#include "fairhole/job/files.h"
#include "fairhole/job/load.h"
#include "fairhole/job/sha256.h"
#include "fairhole/photo/picture.h"

namespace fairhole::bench {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMarkLength = 24;  // of a SHA-256: no two readings of one job share it
constexpr unsigned kMostNames = 1000;

/// "IMG 0001.jpg": a name of a picture, without a folder.
bool is_picture_name(const std::string& name) {
  if (name.empty() || name.size() > 100 || name.front() == '.') return false;
  const bool plain = std::ranges::all_of(name, [](char c) {
    return static_cast<unsigned char>(c) >= 0x20 && c != '/' && c != '\\' && c != '\x7f';
  });
  std::string kind = fs::path(name).extension().string();
  std::ranges::transform(kind, kind.begin(), [](unsigned char c) { return std::tolower(c); });
  static const std::vector<std::string> kKinds = {".jpg", ".jpeg", ".png", ".tif", ".tiff", ".heic", ".heif"};
  return plain && std::ranges::count(kKinds, kind) > 0;
}

/// A file named by the job, within its folder.
bool stays_inside(const std::string& file) {
  const fs::path path(file);
  return !path.is_absolute() && std::ranges::none_of(path, [](const fs::path& step) { return step == ".."; });
}

/// The job with one face of one part and nothing else, so that what is unfinished elsewhere does no harm.
std::optional<Json> face_alone(Json job, const std::string& part, const std::string& face) {
  if (!job.is_object() || !job.contains("parts") || !job["parts"].is_array()) return std::nullopt;
  for (Json& one : job["parts"]) {
    if (!one.is_object() || !one.contains("faces") || one.value("id", Json()) != part) continue;
    for (Json& side : one["faces"]) {
      if (!side.is_object() || side.value("name", Json()) != face) continue;
      for (const char* other : {"opposite", "pins", "holes"}) side.erase(other);
      Json alone = {{"format", "fairhole job 1"}, {"title", "photographs"}};
      if (job.contains("units")) alone["units"] = job["units"];
      alone["parts"] = {{{"id", one["id"]}, {"kind", one.value("kind", "part")}, {"faces", {side}}}};
      for (const char* list : {"plates", "hole_groups", "joints"}) alone[list] = Json::array();
      for (const char* named : {"patterns", "fasteners"}) alone[named] = Json::object();
      return alone;
    }
  }
  return std::nullopt;
}

Problem no_photos(const std::string& part, const std::string& face) {
  return {codes::kBenchNoPhotos, part + ", " + face, "the job names no such photographs",
          "look whether they were taken away meanwhile"};
}

std::string number(double value) { return fmt::format("{}", value); }

/// `fairhole photo` with all that the set says. File names are those of the disk.
std::vector<std::string> words_of(const job::PhotoSet& set, const std::string& path) {
  std::vector<std::string> words{"photo"};
  const auto file = [&](const std::string& name) { return (fs::path(path) / name).string(); };
  const auto option = [&](const char* name, const std::string& value) {
    words.push_back(fmt::format("{}={}", name, value));
  };
  for (const std::string& name : set.files) words.push_back(file(name));
  for (const std::string& name : set.boards) option("--board", file(name));
  for (const auto& [board, mm] : set.check_mm)
    option("--check", fmt::format("{}={},{}", board, mm.x(), mm.y()));
  for (const auto& [board, mm] : set.lift_mm) option("--lift", fmt::format("{}={}", board, mm));
  if (!set.frame.empty()) option("--frame", set.frame);
  for (const double diameter : set.expect_mm) option("--expect", number(diameter));
  if (set.focal_px) option("--focal-px", number(*set.focal_px));
  if (set.dpi) option("--dpi", number(*set.dpi));
  if (set.rubbing) words.emplace_back("--rubbing");
  for (const job::HandMark& mark : set.by_hand) {
    const std::string place = fmt::format("{},{}", mark.at_mm.x(), mark.at_mm.y());
    option(mark.is_hole ? "--hole" : "--no-hole", mark.name.empty() ? place : mark.name + "=" + place);
  }
  words.emplace_back("--json");
  return words;
}

/// How the face lies under its pictures, and what was said of places in them.
Json place_json(const job::Face& face, const job::PhotoSet& set) {
  constexpr double kGuessMm = 20.0;  // a place known worse than that is drawn nowhere
  Json outline = Json::array(), marks = Json::array();
  for (const Eigen::Vector2d& p : face.outline_mm) outline.push_back({p.x(), p.y()});
  for (const job::HandMark& mark : set.by_hand) {
    marks.push_back({{"x", mark.at_mm.x()},
                     {"y", mark.at_mm.y()},
                     {"is", mark.is_hole ? "hole" : "no hole"},
                     {"name", mark.name}});
  }
  const Motion& at = set.face_from_board;
  return {{"outline", outline},
          {"at",
           {{"x", at.shift_mm.x()},
            {"y", at.shift_mm.y()},
            {"turn_deg", at.turn.degrees()},
            {"mirrored", at.mirrored}}},
          {"placed", set.at_sigma_mm < kGuessMm},
          {"by_hand", marks}};
}

}  // namespace

PhotoDesk::PhotoDesk(std::string path, const std::string& program)
    : path_(std::move(path)), folder_(path_ + "/.fairhole/photos"), worker_(program, folder_ + ".txt") {}

Reply PhotoDesk::keep(const std::string& name, const std::string& bytes) const {
  if (!is_picture_name(name)) {
    return problem_reply({{codes::kBenchFileName, name, "this is no name of a picture",
                           "take a JPEG, PNG, TIFF or HEIC file"}});
  }
  if (const auto picture = photo::decode_picture(bytes, name); !picture)
    return problem_reply(picture.problems());
  std::error_code error;
  fs::create_directories(path_ + "/photos", error);
  const fs::path wanted(name);
  for (unsigned i = 1; i < kMostNames; ++i) {
    const std::string file =
        "photos/" +
        (i == 1 ? name : fmt::format("{}-{}{}", wanted.stem().string(), i, wanted.extension().string()));
    const std::string place = path_ + "/" + file;
    if (fs::exists(place, error)) {
      const auto there = job::read_file(place, file, kMostPictureBytes >> 20U);
      if (there && *there == bytes) return json_reply({{"file", file}});
      continue;
    }
    if (auto problems = replace_durably(place, bytes); !problems.empty()) return problem_reply(problems);
    return json_reply({{"file", file}});
  }
  return problem_reply({{codes::kBenchFileName, name, "too many pictures have this name", "rename it"}});
}

Result<std::pair<job::Face, job::PhotoSet>> PhotoDesk::asked_for(const Json& asked) const {
  const std::string part = asked["part"], face = asked["face"], set = asked["set"];
  const auto text = job::read_file(path_ + "/job.json", "job.json");
  if (!text) return text.problems();
  const auto alone = face_alone(Json::parse(*text, nullptr, false), part, face);
  if (!alone) return no_photos(part, face);
  const auto job = job::parse_job(alone->dump(), "job.json", path_);
  if (!job) return job.problems();
  const std::vector<job::PhotoSet>& sets = job->parts.front().faces.front().photos;
  const std::size_t index = set.size() == 1 ? static_cast<std::size_t>(set[0] - '0') : sets.size();
  if (index >= sets.size()) return no_photos(part, face);
  for (const auto* files : {&sets[index].files, &sets[index].boards}) {
    for (const std::string& file : *files) {
      if (!stays_inside(file))
        return Problem{codes::kBenchFileName, file, "this lies outside the job",
                       "put it into the job's folder"};
    }
  }
  return std::pair(job->parts.front().faces.front(), sets[index]);
}

Result<PhotoDesk::Task> PhotoDesk::task(const job::PhotoSet& set) const {
  Task task;
  task.arguments = words_of(set, path_);
  std::string all;
  for (const std::string& word : task.arguments) all += word + '\n';
  for (const auto* files : {&set.files, &set.boards}) {
    for (const std::string& file : *files) {
      std::error_code error;
      const fs::path place = fs::path(path_) / file;
      all += fmt::format("{} {}\n", fs::file_size(place, error),
                         fs::last_write_time(place, error).time_since_epoch().count());
    }
  }
  task.mark = job::sha256_hex(all).substr(0, kMarkLength);
  task.arguments.push_back("--flat=" + place(task.mark) + ".new.jpg");
  return task;
}

/// What the worker said becomes the reading, once it has ended well: first the picture, then the text, which
/// says that both are there.
void PhotoDesk::finish() {
  if (!under_way_) return;
  const Worker::State state = worker_.state();
  if (state.working) return;
  under_way_ = false;
  std::error_code error;
  const std::string at = place(at_work_);
  if (state.exit_status == 0) {
    fs::rename(at + ".new.jpg", at + ".jpg", error);
    if (!error && replace_durably(at + ".json", state.said).empty()) return;
  }
  failed_ = at_work_;
  said_ = state.exit_status ? state.said : "";
}

Reply PhotoDesk::reading(const Request& request) {
  const auto asked = texts_of(request, {"part", "face", "set", "do"});
  if (!asked) return problem_reply(asked.problems());
  const auto set = asked_for(*asked);
  if (!set) return problem_reply(set.problems());
  const auto wanted = task(set->second);
  if (!wanted) return problem_reply(wanted.problems());
  std::error_code error;
  if ((*asked)["do"] == "stop") worker_.stop();
  finish();
  if ((*asked)["do"] == "start") {
    fs::create_directories(folder_, error);
    fs::remove(place(wanted->mark) + ".new.jpg", error);
    if (const Problems problems = worker_.start(wanted->arguments); !problems.empty())
      return problem_reply(problems);
    at_work_ = wanted->mark;
    under_way_ = true;
    failed_.clear();
  }
  const Worker::State state = worker_.state();
  Json answer = {{"working", state.working}, {"here", at_work_ == wanted->mark},
                 {"seconds", state.seconds}, {"said", failed_ == wanted->mark ? said_ : ""},
                 {"reading", nullptr},       {"flat", "/flat/" + wanted->mark + ".jpg"}};
  answer.update(place_json(set->first, set->second));
  if (const auto text = job::read_file(place(wanted->mark) + ".json", "the reading"))
    answer["reading"] = Json::parse(*text, nullptr, false);
  return json_reply(answer);
}

Reply PhotoDesk::flat(const std::string& name) const {
  const bool known = name.size() == kMarkLength + 4 && name.ends_with(".jpg") &&
                     name.find_first_not_of("0123456789abcdef") == kMarkLength;
  if (!known)
    return problem_reply(
        {{codes::kBenchFileName, name, "this is no picture of the bench", "load the page again"}});
  const auto bytes = job::read_file(folder_ + "/" + name, name);
  if (!bytes) return problem_reply(bytes.problems());
  return {200, "image/jpeg", *bytes};
}

}  // namespace fairhole::bench
