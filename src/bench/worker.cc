// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/bench/worker.h"

#include <fcntl.h>
#include <signal.h>  // NOLINT(modernize-deprecated-headers): kill() is POSIX
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstring>
#include <utility>

#include "fairhole/job/files.h"

namespace fairhole::bench {
namespace {

/// What the new process is to do with its streams; freed at the end.
class Streams {
 public:
  explicit Streams(const std::string& log) {
    posix_spawn_file_actions_init(&actions_);
    posix_spawn_file_actions_addopen(&actions_, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_addopen(&actions_, STDOUT_FILENO, log.c_str(), O_WRONLY | O_CREAT | O_TRUNC,
                                     0644);
    posix_spawn_file_actions_adddup2(&actions_, STDOUT_FILENO, STDERR_FILENO);
  }
  ~Streams() { posix_spawn_file_actions_destroy(&actions_); }
  Streams(const Streams&) = delete;
  Streams& operator=(const Streams&) = delete;
  const posix_spawn_file_actions_t* get() const { return &actions_; }

 private:
  posix_spawn_file_actions_t actions_{};
};

}  // namespace

Worker::Worker(std::string program, std::string log) : program_(std::move(program)), log_(std::move(log)) {}

Worker::Worker(Worker&& other) noexcept
    : program_(std::move(other.program_)),
      log_(std::move(other.log_)),
      process_(std::exchange(other.process_, -1)),
      began_(other.began_),
      last_(std::move(other.last_)) {}

Worker::~Worker() { stop(); }

Problems Worker::start(const std::vector<std::string>& arguments) {
  stop();
  const Streams streams(log_);
  std::vector<std::string> words{program_};
  words.insert(words.end(), arguments.begin(), arguments.end());
  std::vector<char*> pointers;
  for (std::string& word : words) pointers.push_back(word.data());
  pointers.push_back(nullptr);
  const int error =
      posix_spawn(&process_, program_.c_str(), streams.get(), nullptr, pointers.data(), environ);
  if (error != 0) {
    process_ = -1;
    return {{codes::kBenchCannotWork, program_, std::string("cannot be started: ") + std::strerror(error),
             "install the program again, or free some memory"}};
  }
  began_ = std::chrono::steady_clock::now();
  last_ = {};
  return {};
}

void Worker::end(std::optional<int> exit_status) {
  last_.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - began_).count();
  last_.exit_status = exit_status;
  if (const auto said = job::read_file(log_, log_)) last_.said = *said;
  process_ = -1;
}

void Worker::stop() {
  if (process_ < 0) return;
  ::kill(process_, SIGKILL);  // results are put in place whole, so nothing is left half written
  ::waitpid(process_, nullptr, 0);
  end(std::nullopt);
}

Worker::State Worker::state() {
  int status = 0;
  if (process_ >= 0 && ::waitpid(process_, &status, WNOHANG) == process_)
    end(WIFEXITED(status) ? std::optional(WEXITSTATUS(status)) : std::nullopt);
  State now = last_;
  now.working = process_ >= 0;
  if (now.working)
    now.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - began_).count();
  return now;
}

}  // namespace fairhole::bench
