// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/bench/job_folder.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>

#include "durable.h"
#include "fairhole/job/files.h"
#include "fairhole/job/load.h"
#include "fairhole/job/run.h"
#include "fairhole/job/sha256.h"
#include "history.h"

namespace fairhole::bench {
namespace {

namespace fs = std::filesystem;

/// Whether a person would call it a file of the job: "job.json", "readings/foot near.csv".
bool is_job_name(const std::string& name) {
  const fs::path path(name);
  if (name.empty() || name.size() > 200 || path.is_absolute()) return false;
  if (path.lexically_normal().native() != name || path.filename().empty()) return false;
  for (const fs::path& step : path) {
    const std::string text = step.string();
    const bool printable = std::none_of(text.begin(), text.end(), [](char c) {
      return static_cast<unsigned char>(c) < 0x20 || c == '\\' || c == '\x7f';
    });
    if (text.front() == '.' || !printable) return false;  // hidden, "." and ".." too
  }
  return path.extension() == ".json" || path.extension() == ".csv";
}

/// Keeps other programs from opening the folder; freed by the system when this one ends, however it ends.
class Lock {
 public:
  explicit Lock(const fs::path& path)
      : number_(::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644)),
        held_(number_ >= 0 && ::flock(number_, LOCK_EX | LOCK_NB) == 0) {}
  ~Lock() {
    if (number_ >= 0) ::close(number_);
  }
  Lock(const Lock&) = delete;
  Lock& operator=(const Lock&) = delete;
  bool can_be_made() const { return number_ >= 0; }
  bool held() const { return held_; }

 private:
  int number_;
  bool held_;
};

class Folder final : public JobFolder {
 public:
  Folder(fs::path folder, std::unique_ptr<Lock> lock)
      : folder_(std::move(folder)), lock_(std::move(lock)), history_(folder_ / ".fairhole") {}

  Problems begin() {
    if (auto problems = history_.load(); !problems.empty()) return problems;
    if (const auto& last = history_.last()) {
      // Killed between the line and the file: the line was promised, so it holds.
      const auto now = read_or_nothing(last->file);
      if (now && now->stamp == last->from) {
        if (auto problems = put(last->file, last->to); !problems.empty()) return problems;
      }
    }
    return history_.forget_oldest();
  }

  std::vector<StampedFile> files() const override;
  Result<FileView> read(const std::string& name) const override;
  Result<FileView> save(const std::string& name, const std::string& bytes, const Stamp& based_on,
                        const std::string& what, bool joins) override;
  Result<FileView> undo() override;
  Result<FileView> redo() override;
  std::optional<std::string> undo_words() const override { return words(history_.to_undo()); }
  std::optional<std::string> redo_words() const override { return words(history_.to_redo()); }

 private:
  static std::optional<std::string> words(const Change* change) {
    return change == nullptr ? std::nullopt : std::optional(change->what);
  }
  Problems check_name(const std::string& name) const;
  Result<FileView> read_or_nothing(const std::string& name) const;
  Result<FileView> expect(const std::string& name, const Stamp& stamp) const;
  Problems put(const std::string& name, const Stamp& stamp);
  Result<FileView> carry_out(const std::string& name, const Stamp& to, Problems written,
                             const History& before);

  fs::path folder_;
  std::unique_ptr<Lock> lock_;
  History history_;
};

Problems Folder::check_name(const std::string& name) const {
  const Problem refused{codes::kBenchFileName, name, "this is no file of a job that can be edited here",
                        "name job.json, or a .csv or .json file beside it"};
  if (!is_job_name(name)) return {refused};
  std::error_code error;
  fs::path path = folder_;
  for (const fs::path& step : fs::path(name)) {
    path /= step;
    if (fs::is_symlink(fs::symlink_status(path, error))) return {refused};
  }
  return {};
}

std::vector<StampedFile> Folder::files() const {
  std::vector<StampedFile> all;
  std::error_code error;
  auto entry =
      fs::recursive_directory_iterator(folder_, fs::directory_options::skip_permission_denied, error);
  for (const auto end = fs::recursive_directory_iterator(); !error && entry != end; entry.increment(error)) {
    const std::string name = entry->path().lexically_relative(folder_).generic_string();
    if (entry->path().filename().string().front() == '.') {
      entry.disable_recursion_pending();
    } else if (entry->is_regular_file(error) && check_name(name).empty()) {
      if (const auto view = read(name)) all.push_back({name, view->stamp});
    }
  }
  std::sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return a.name < b.name; });
  return all;
}

Result<FileView> Folder::read(const std::string& name) const {
  if (auto problems = check_name(name); !problems.empty()) return problems;
  auto bytes = job::read_file((folder_ / name).string(), name);
  if (!bytes) return bytes.problems();
  const Stamp stamp = job::sha256_hex(*bytes);
  return FileView{name, stamp, *std::move(bytes)};
}

Result<FileView> Folder::read_or_nothing(const std::string& name) const {
  if (auto problems = check_name(name); !problems.empty()) return problems;
  std::error_code error;
  if (!fs::exists(folder_ / name, error)) return FileView{name, "", ""};
  return read(name);
}

/// The file as it is, if that is what is expected.
Result<FileView> Folder::expect(const std::string& name, const Stamp& stamp) const {
  auto now = read_or_nothing(name);
  if (now && now->stamp != stamp) {
    return Problem{codes::kBenchChanged, name, "somebody else has changed this file since it was read here",
                   "look at what it holds now, then decide which to keep; nothing was overwritten"};
  }
  return now;
}

/// Makes the file what the history keeps under `stamp`.
Problems Folder::put(const std::string& name, const Stamp& stamp) {
  const fs::path path = folder_ / name;
  if (stamp.empty()) return remove_durably(path);
  const auto bytes = history_.state(stamp);
  if (!bytes) return bytes.problems();
  std::error_code error;
  fs::create_directories(path.parent_path(), error);
  return replace_durably(path, *bytes);
}

/// After the line was written: the file itself; if that fails the line never was.
Result<FileView> Folder::carry_out(const std::string& name, const Stamp& to, Problems written,
                                   const History& before) {
  if (!written.empty()) return written;
  if (auto problems = put(name, to); !problems.empty()) {
    append(problems, history_.withdraw(before));
    return problems;
  }
  return read_or_nothing(name);
}

Result<FileView> Folder::save(const std::string& name, const std::string& bytes, const Stamp& based_on,
                              const std::string& what, bool joins) {
  const auto now = expect(name, based_on);
  if (!now) return now.problems();
  const Stamp after = job::sha256_hex(bytes);
  if (after == now->stamp) return *now;
  if (auto problems = history_.keep(now->stamp, now->bytes); !problems.empty()) return problems;
  if (auto problems = history_.keep(after, bytes); !problems.empty()) return problems;
  const Change* last = history_.to_redo() == nullptr ? history_.to_undo() : nullptr;
  const bool same = last != nullptr && last->file == name && last->after == now->stamp && last->what == what;
  const History before = history_;
  return carry_out(name, after, history_.add({name, now->stamp, after, what, joins && same}), before);
}

Result<FileView> Folder::undo() {
  const Change* change = history_.to_undo();
  if (change == nullptr) return Problem{codes::kBenchNothing, "", "there is nothing to take back", "go on"};
  const Change undone = *change;
  if (const auto now = expect(undone.file, undone.after); !now) return now.problems();
  const History before = history_;
  return carry_out(undone.file, undone.before, history_.add_undo(), before);
}

Result<FileView> Folder::redo() {
  const Change* change = history_.to_redo();
  if (change == nullptr)
    return Problem{codes::kBenchNothing, "", "there is nothing to make once more", "go on"};
  const Change redone = *change;
  if (const auto now = expect(redone.file, redone.before); !now) return now.problems();
  const History before = history_;
  return carry_out(redone.file, redone.after, history_.add_redo(), before);
}

}  // namespace

Result<std::unique_ptr<JobFolder>> JobFolder::open(const std::string& folder) {
  std::error_code error;
  const fs::path path = fs::canonical(folder, error);
  if (error || !fs::is_directory(path, error)) {
    return Problem{codes::kJobMissing, folder, "there is no such folder",
                   "name a job's folder; `fairhole new DIR` makes an example"};
  }
  const fs::path own = path / ".fairhole";
  fs::create_directories(own / "states", error);
  auto lock = std::make_unique<Lock>(own / "lock");
  if (!lock->can_be_made()) {
    return Problem{codes::kOutCannotWrite, own.string(), "cannot be written",
                   "look at permissions and free space; nothing was changed"};
  }
  if (!lock->held()) {
    return Problem{codes::kBenchInUse, folder, "another bench has this job open",
                   "use that one, or end it first"};
  }
  auto opened = std::make_unique<Folder>(path, std::move(lock));
  if (auto problems = opened->begin(); !problems.empty()) return problems;
  return std::unique_ptr<JobFolder>(std::move(opened));
}

}  // namespace fairhole::bench
