// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <unistd.h>

#include <filesystem>
#include <nlohmann/json.hpp>

#include "fairhole/bench/requests.h"
#include "targets.h"

namespace fairhole::fuzz {
namespace {

namespace fs = std::filesystem;

constexpr const char* kHost = "127.0.0.1:8017";

/// Each a job folder of its own, gone afterwards.
class JobFolderOfOurs {
 public:
  JobFolderOfOurs() : path_(fs::temp_directory_path() / ("fairhole-fuzz-" + std::to_string(getpid()))) {
    fs::remove_all(path_);
    fs::create_directories(path_ / "job");
  }
  ~JobFolderOfOurs() { fs::remove_all(path_); }
  JobFolderOfOurs(const JobFolderOfOurs&) = delete;
  JobFolderOfOurs& operator=(const JobFolderOfOurs&) = delete;
  std::string job() const { return path_ / "job"; }
  bool alone() const {  ///< nothing was written beside the job
    return std::distance(fs::directory_iterator(path_), fs::directory_iterator()) == 1;
  }

 private:
  fs::path path_;
};

std::string_view take(std::string_view& text, std::string_view end) {
  const std::size_t at = text.find(end);
  const std::string_view head = text.substr(0, at);
  text.remove_prefix(at == std::string_view::npos ? text.size() : at + end.size());
  return head;
}

/// "PUT /api/files/job.json", lines "h host", "o origin", "t type", "c cookie", an empty line, the body. What
/// is not said is what the page says.
bench::Request request_from(std::string_view text) {
  bench::Request request;
  request.host = kHost;
  request.content_type = "application/json";
  request.method = take(text, " ");
  request.path = take(text, "\n");
  while (!text.empty() && !text.starts_with('\n')) {
    const std::string_view line = take(text, "\n");
    const std::string value(line.substr(std::min<std::size_t>(2, line.size())));
    if (line.starts_with("h ")) request.host = value;
    if (line.starts_with("o ")) request.origin = value;
    if (line.starts_with("t ")) request.content_type = value;
    if (line.starts_with("c ")) request.cookie = value;
  }
  request.body = text.substr(std::min<std::size_t>(1, text.size()));
  return request;
}

}  // namespace

void requests(std::string_view bytes) {
  constexpr int kMostRequests = 8;
  const JobFolderOfOurs folder;
  auto open = bench::JobFolder::open(folder.job());
  must(open.ok(), "an empty folder can be opened");
  // No program: what the bench would start is not under test here.
  bench::Access access{{kHost}, {}};
  if (bytes.starts_with("code\n")) {
    take(bytes, "\n");
    access.say_code = [](const std::string&) {};
  }
  bench::Bench bench(std::move(*open), folder.job(), "/dev/null/fairhole", access);
  for (int i = 0; i < kMostRequests && !bytes.empty(); ++i) {
    const bench::Request request = request_from(take(bytes, "\n----\n"));
    const bench::Reply reply = bench.answer(request);
    must(reply.status >= 200 && reply.status < 500, "an answer or a refusal");
    must(reply.type != "application/json" || nlohmann::json::accept(reply.body), "JSON is JSON");
    must(request.host == kHost || reply.status == 403, "no other host is answered");
  }
  must(folder.alone(), "nothing is written outside the job");
}

}  // namespace fairhole::fuzz
