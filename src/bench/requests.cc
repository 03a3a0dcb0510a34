// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/bench/requests.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "answers.h"
#include "durable.h"
#include "fairhole/base/shown_problems.h"
#include "fairhole/job/board_json.h"
#include "fairhole/job/files.h"
#include "fairhole/job/load.h"
#include "fairhole/job/run.h"
#include "fairhole/job/sha256.h"
#include "gate.h"
#include "photo_desk.h"

namespace fairhole::bench {
namespace {

namespace fs = std::filesystem;

Problem unknown(const Request& request) {
  return {codes::kBenchRequest, request.method + " " + request.path, "the bench knows no such request",
          "load the page again; it may be older than the program"};
}

Json view_json(const FileView& view) {
  return {{"name", view.name}, {"stamp", view.stamp}, {"text", view.bytes}};
}

std::string_view after(std::string_view text, std::string_view head) {
  return text.substr(0, head.size()) == head ? text.substr(head.size()) : std::string_view();
}

const char* media_type(const std::string& name) {
  const std::string kind = fs::path(name).extension();
  if (kind == ".html") return "text/html; charset=utf-8";
  if (kind == ".pdf") return "application/pdf";
  if (kind == ".svg") return "image/svg+xml";
  if (kind == ".json") return "application/json";
  if (kind == ".csv" || kind == ".txt" || kind == ".ngc") return "text/plain; charset=utf-8";
  return "application/octet-stream";
}

const char kNothingYet[] = R"({
  "format": "fairhole job 1",
  "title": "New job",
  "plates": [],
  "parts": [],
  "patterns": {},
  "hole_groups": [],
  "joints": [],
  "fasteners": {}
}
)";

/// One stamp for all files.
std::string state_of(const std::vector<StampedFile>& files) {
  std::string all;
  for (const StampedFile& file : files) all += file.name + '\n' + file.stamp + '\n';
  return job::sha256_hex(all);
}

/// "A4-3".
Result<photo::Board> board_called(const std::string& name) {
  const std::size_t dash = name.find('-');
  const std::string number = dash == std::string::npos ? "" : name.substr(dash + 1);
  const bool is_number =
      !number.empty() && number.size() < 3 && number.find_first_not_of("0123456789") == std::string::npos;
  return photo::make_board(name.substr(0, dash), is_number ? std::stoi(number) : -1);
}

Reply board_to_print(std::string_view name) {
  const auto board = board_called(std::string(name.substr(0, name.find('.'))));
  if (!board) return problem_reply(board.problems());
  const auto pdf = job::board_pdf(*board);
  return pdf ? Reply{200, "application/pdf", *pdf, Rights::kFile} : problem_reply(pdf.problems());
}

}  // namespace

Result<Json> texts_of(const Request& request, std::initializer_list<const char*> keys) {
  const Problem problem{codes::kBenchRequest, request.path, "this is not what the bench asks for here",
                        "load the page again; it may be older than the program"};
  Json body = Json::parse(request.body, nullptr, false);
  if (!body.is_object()) return problem;
  for (const char* key : keys) {
    if (const auto found = body.find(key); found == body.end() || !found->is_string()) return problem;
  }
  return body;
}

Json problems_json(const Problems& problems) {
  Json all = Json::array();
  for (const Problem& problem : first_problems(problems)) {
    all.push_back({{"code", code_name(problem.code)},
                   {"where", problem.where},
                   {"what", problem.what},
                   {"remedy", problem.remedy}});
  }
  return all;
}

Reply json_reply(const Json& body, int status) {
  return {status, "application/json", body.dump(-1, ' ', false, Json::error_handler_t::replace)};
}

Reply problem_reply(const Problems& problems) {
  int status = 400;
  if (problems.front().code == codes::kBenchChanged) status = 409;
  if (problems.front().code == codes::kFileUnreadable || problems.front().code == codes::kBenchFileName)
    status = 404;
  return json_reply({{"problems", problems_json(problems)}}, status);
}

Bench::Bench(std::unique_ptr<JobFolder> folder, const std::string& path, const std::string& program,
             Access access)
    : folder_(std::move(folder)),
      path_(path),
      results_(path + "/.fairhole/results"),
      worker_(program, path + "/.fairhole/run.txt"),
      photos_(std::make_unique<PhotoDesk>(path, program)),
      gate_(std::make_unique<Gate>(std::move(access))) {
  if (const auto state = job::read_file(worked_from_path(), "")) worked_from_ = *state;
}

Bench::~Bench() = default;

std::string Bench::worked_from_path() const { return path_ + "/.fairhole/worked-from.txt"; }

Reply Bench::answer(const Request& request) {
  if (auto answer = gate_->at_the_door(request)) return *answer;
  if (request.method == "POST" && request.path == "/api/readings") {  // reads no files: needs no turn
    const auto body = texts_of(request, {"name", "text"});
    if (!body) return problem_reply(body.problems());
    const auto quick = body->find("quick");
    return json_reply(
        readings_json((*body)["text"], (*body)["name"], quick != body->end() && *quick == true));
  }
  if (request.method == "POST" && request.path == "/api/sketch") return sketch(request);  // the same
  if (const auto name = after(request.path, "/api/pictures/"); request.method == "PUT" && !name.empty())
    return photos_->keep(std::string(name), request.body);
  const std::lock_guard turn(one_at_a_time_);
  if (const auto name = after(request.path, "/api/files/"); !name.empty()) return file(request);
  if (request.path == "/api/run") return run(request);
  if (request.method == "POST" && request.path == "/api/undo") return step(false);
  if (request.method == "POST" && request.path == "/api/redo") return step(true);
  if (request.method == "POST" && request.path == "/api/begin") return begin(request);
  if (request.method == "POST" && request.path == "/api/photos") return photos_->reading(request);
  if (request.method == "POST" && request.path == "/api/board") return board(request);
  if (request.method == "GET") {
    if (request.path == "/api/job") return job();
    if (request.path == "/api/kinds") return json_reply(kinds_json());
    if (const auto name = after(request.path, "/results/"); !name.empty()) return result(std::string(name));
    if (const auto name = after(request.path, "/flat/"); !name.empty())
      return photos_->flat(std::string(name));
    if (const auto name = after(request.path, "/boards/"); !name.empty()) return board_to_print(name);
    const auto file = after(request.path, "/");
    if (auto page = page_file(request.path == "/" ? "index.html" : std::string(file))) return *page;
  }
  Reply reply = problem_reply({unknown(request)});
  reply.status = 404;
  return reply;
}

Reply Bench::job() {
  const std::vector<StampedFile> stamped = folder_->files();
  Json files = Json::array();
  for (const StampedFile& file : stamped) files.push_back({{"name", file.name}, {"stamp", file.stamp}});
  const auto words = [](const std::optional<std::string>& text) {
    return text ? Json(*text) : Json(nullptr);
  };
  Json answer = {{"folder", path_},
                 {"state", state_of(stamped)},
                 {"files", files},
                 {"undo", words(folder_->undo_words())},
                 {"redo", words(folder_->redo_words())},
                 {"sketch", nullptr},
                 {"problems", Json::array()}};
  if (const auto read = job::load_job(path_)) {
    answer["sketch"] = sketch_json(*read);
  } else {
    answer["problems"] = problems_json(read.problems());
  }
  return json_reply(answer);
}

/// A job that is not on the disk, to see what it would look like.
Reply Bench::sketch(const Request& request) const {
  const auto body = texts_of(request, {"text"});
  if (!body) return problem_reply(body.problems());
  const std::string text = (*body)["text"];
  const auto read = job::parse_job(text, "job.json", path_);
  return json_reply({{"sketch", read ? sketch_json(*read) : Json(nullptr)},
                     {"problems", read ? Json::array() : problems_json(read.problems())}});
}

Reply Bench::file(const Request& request) {
  const std::string name(after(request.path, "/api/files/"));
  if (request.method == "GET") {
    const auto view = folder_->read(name);
    return view ? json_reply(view_json(*view)) : problem_reply(view.problems());
  }
  if (request.method != "PUT") return problem_reply({unknown(request)});
  const auto body = texts_of(request, {"text", "stamp", "what"});
  if (!body) return problem_reply(body.problems());
  const auto joins = body->find("joins");
  const auto saved = folder_->save(name, (*body)["text"], (*body)["stamp"], (*body)["what"],
                                   joins != body->end() && *joins == true);
  return saved ? json_reply(view_json(*saved)) : problem_reply(saved.problems());
}

Reply Bench::step(bool forward) {
  const auto view = forward ? folder_->redo() : folder_->undo();
  return view ? json_reply(view_json(*view)) : problem_reply(view.problems());
}

/// In a folder without a job: the worked example, or a job with nothing in it yet.
Reply Bench::begin(const Request& request) {
  const auto body = texts_of(request, {"with"});
  if (!body) return problem_reply(body.problems());
  std::vector<job::NewFile> files = {{"job.json", kNothingYet}};
  if ((*body)["with"] == "example") files = job::example_files();
  for (const job::NewFile& file : files) {
    if (fs::path(file.path).extension() == ".md") continue;  // its text is on the page
    const auto saved = folder_->save(file.path, file.bytes, "", file.path + " begun");
    if (!saved) return problem_reply(saved.problems());
  }
  return job();
}

Reply Bench::run(const Request& request) {
  if (request.method == "POST") {
    const auto body = texts_of(request, {"do"});
    if (!body) return problem_reply(body.problems());
    if ((*body)["do"] == "stop") {
      worker_.stop();
    } else {
      const std::string state = state_of(folder_->files());
      if (const Problems problems = worker_.start({"run", path_, "--out", results_, "--page-pictures"});
          !problems.empty())
        return problem_reply(problems);
      worked_from_ = state;
      if (const Problems problems = replace_durably(worked_from_path(), state); !problems.empty())
        return problem_reply(problems);
    }
  }
  const Worker::State state = worker_.state();
  Json files = Json::array();
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(results_, error)) {
    if (entry.is_regular_file(error)) files.push_back(entry.path().filename().string());
  }
  std::sort(files.begin(), files.end());
  return json_reply({{"working", state.working},
                     {"seconds", state.seconds},
                     {"exit", state.exit_status ? Json(*state.exit_status) : Json(nullptr)},
                     {"said", state.said},
                     {"worked_from", worked_from_},
                     {"files", state.working ? Json::array() : files}});
}

/// The scale board's BOARD.json in the job: {"file", "name", "pdf"}.
Reply Bench::board(const Request& request) {
  const auto body = texts_of(request, {"name"});
  if (!body) return problem_reply(body.problems());
  const std::string name = (*body)["name"];
  const auto board = board_called(name);
  if (!board) return problem_reply(board.problems());
  const std::string file = "photos/board-" + board->name + ".json";
  if (!folder_->read(file)) {
    const auto saved = folder_->save(file, job::board_json(*board), "", "board " + board->name + " added");
    if (!saved) return problem_reply(saved.problems());
  }
  return json_reply({{"file", file}, {"name", board->name}, {"pdf", "/boards/" + board->name + ".pdf"}});
}

Reply Bench::result(const std::string& name) {
  if (name.find('/') != std::string::npos || name.front() == '.')
    return problem_reply(
        {{codes::kBenchFileName, name, "this is no result", "take one of the files listed"}});
  const auto bytes = job::read_file((fs::path(results_) / name).string(), name);
  if (!bytes) return problem_reply(bytes.problems());
  const std::string kind = fs::path(name).extension();
  const bool document = kind == ".html" || kind == ".svg";
  return {200, media_type(name), *bytes, document ? Rights::kDocument : Rights::kFile};
}

}  // namespace fairhole::bench
