// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/bench/job_folder.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <fstream>

#include "../job/test_job.h"
#include "fairhole/bench/requests.h"
#include "fairhole/job/files.h"
#include "fairhole/job/load.h"
#include "fairhole/job/run.h"
#include "history.h"

namespace fairhole::bench {
namespace {

namespace fs = std::filesystem;
using job::test::Scratch;
using ::testing::ElementsAre;
using ::testing::Optional;

void put(const fs::path& path, const std::string& text) {
  fs::create_directories(path.parent_path());
  std::ofstream(path, std::ios::binary) << text;
}

std::string text_of(const fs::path& path) { return *job::read_file(path.string(), "file"); }

std::unique_ptr<JobFolder> opened(const fs::path& folder) {
  auto result = JobFolder::open(folder.string());
  EXPECT_TRUE(result) << describe(result.problems().front());
  return *std::move(result);
}

Code code_of(const Result<FileView>& result) { return result ? Code{} : result.problems().front().code; }

std::vector<std::string> names(const JobFolder& folder) {
  std::vector<std::string> all;
  for (const StampedFile& file : folder.files()) all.push_back(file.name);
  return all;
}

TEST(JobFolder, ListsWhatCanBeEditedAndNothingElse) {
  const Scratch scratch;
  put(scratch / "job.json", "{}");
  put(scratch / "readings/b.csv", "b");
  put(scratch / "readings/a.csv", "a");
  put(scratch / "photo.jpg", "no");
  put(scratch / ".secret.json", "no");
  fs::create_symlink("/etc/passwd", scratch / "linked.csv");
  fs::create_directory_symlink("/etc", scratch / "etc");
  EXPECT_THAT(names(*opened(scratch / "")), ElementsAre("job.json", "readings/a.csv", "readings/b.csv"));
}

TEST(JobFolder, NamesOutsideTheJobAreRefused) {
  const Scratch scratch;
  put(scratch / "job/job.json", "{}");
  put(scratch / "other.json", "{}");
  fs::create_symlink("../other.json", scratch / "job/link.json");
  fs::create_directory_symlink("..", scratch / "job/up");
  const auto folder = opened(scratch / "job");
  for (const char* name : {"../other.json", "/etc/passwd", "readings/../../other.json",
                           ".fairhole/history.json", "link.json", "up/other.json", "photo.jpg", "", ".",
                           "readings/", "./job.json", "readings//a.csv", "a\\b.csv", "a\nb.csv"}) {
    EXPECT_EQ(code_of(folder->read(name)), codes::kBenchFileName) << name;
    EXPECT_EQ(code_of(folder->save(name, "x", "", "try")), codes::kBenchFileName) << name;
  }
  EXPECT_EQ(text_of(scratch / "other.json"), "{}");
}

TEST(JobFolder, SavesUndoesAndRedoes) {
  const Scratch scratch;
  put(scratch / "job.json", "one");
  const auto folder = opened(scratch / "");
  const auto first = folder->read("job.json");
  const auto second = folder->save("job.json", "two", first->stamp, "made two");
  ASSERT_TRUE(second);
  ASSERT_TRUE(folder->save("readings/new.csv", "fresh", "", "begun"));
  EXPECT_THAT(folder->undo_words(), Optional(std::string("begun")));
  ASSERT_TRUE(folder->undo());
  EXPECT_FALSE(fs::exists(scratch / "readings/new.csv"));
  ASSERT_TRUE(folder->undo());
  EXPECT_EQ(text_of(scratch / "job.json"), "one");
  EXPECT_EQ(code_of(folder->undo()), codes::kBenchNothing);
  EXPECT_THAT(folder->redo_words(), Optional(std::string("made two")));
  ASSERT_TRUE(folder->redo());
  EXPECT_EQ(text_of(scratch / "job.json"), "two");
  ASSERT_TRUE(folder->save("job.json", "three", second->stamp, "made three"));
  EXPECT_EQ(code_of(folder->redo()), codes::kBenchNothing);  // a new change ends what could be made once more
}

TEST(JobFolder, NobodyOverwritesAnothersChange) {
  const Scratch scratch;
  put(scratch / "job.json", "one");
  const auto folder = opened(scratch / "");
  const Stamp read = folder->read("job.json")->stamp;
  ASSERT_TRUE(folder->save("job.json", "two", read, "first window"));
  EXPECT_EQ(code_of(folder->save("job.json", "mine", read, "second window")), codes::kBenchChanged);
  EXPECT_EQ(text_of(scratch / "job.json"), "two");
  put(scratch / "job.json", "an editor");
  EXPECT_EQ(code_of(folder->undo()), codes::kBenchChanged);
  EXPECT_EQ(code_of(folder->save("new.csv", "x", "stamp of a file that was", "late")), codes::kBenchChanged);
  EXPECT_EQ(text_of(scratch / "job.json"), "an editor");
}

TEST(JobFolder, HistoryOutlivesTheProgram) {
  const Scratch scratch;
  put(scratch / "job.json", "one");
  {
    const auto folder = opened(scratch / "");
    const auto two = folder->save("job.json", "two", folder->read("job.json")->stamp, "made two");
    ASSERT_TRUE(folder->save("job.json", "three", two->stamp, "made three"));
    ASSERT_TRUE(folder->undo());
  }
  const auto again = opened(scratch / "");
  EXPECT_THAT(again->undo_words(), Optional(std::string("made two")));
  EXPECT_THAT(again->redo_words(), Optional(std::string("made three")));
  ASSERT_TRUE(again->redo());
  EXPECT_EQ(text_of(scratch / "job.json"), "three");
}

TEST(JobFolder, ALineCutOffNeverHappened) {
  const Scratch scratch;
  put(scratch / "job.json", "one");
  {
    const auto folder = opened(scratch / "");
    ASSERT_TRUE(folder->save("job.json", "two", folder->read("job.json")->stamp, "made two"));
  }
  std::ofstream(scratch / ".fairhole/history.jsonl", std::ios::app) << R"({"do":"change","file":"job.js)";
  {
    const auto folder = opened(scratch / "");
    EXPECT_THAT(folder->undo_words(), Optional(std::string("made two")));
    ASSERT_TRUE(folder->save("job.json", "three", folder->read("job.json")->stamp, "made three"));
  }
  const auto again = opened(scratch / "");
  ASSERT_TRUE(again->undo());
  ASSERT_TRUE(again->undo());
  EXPECT_EQ(text_of(scratch / "job.json"), "one");
}

TEST(JobFolder, APromisedChangeIsFinishedOnOpening) {
  const Scratch scratch;
  put(scratch / "job.json", "one");
  {
    const auto folder = opened(scratch / "");
    ASSERT_TRUE(folder->save("job.json", "two", folder->read("job.json")->stamp, "made two"));
  }
  put(scratch / "job.json", "one");  // as if the power had gone between the history's line and the file
  const auto again = opened(scratch / "");
  EXPECT_EQ(text_of(scratch / "job.json"), "two");
}

TEST(JobFolder, OnlyOneProgramAtATime) {
  const Scratch scratch;
  put(scratch / "job.json", "one");
  const auto folder = opened(scratch / "");
  const auto second = JobFolder::open((scratch / "").string());
  ASSERT_FALSE(second);
  EXPECT_EQ(second.problems().front().code, codes::kBenchInUse);
  EXPECT_FALSE(JobFolder::open((scratch / "nowhere").string()));
}

TEST(JobFolder, AFileThatCannotBeReplacedLeavesNoTrace) {
  const Scratch scratch;
  put(scratch / "job.json", "one");
  const auto folder = opened(scratch / "");
  fs::create_directories(scratch / "new.csv.fairhole-new");  // where the fresh bytes would go
  EXPECT_EQ(code_of(folder->save("new.csv", "x", "", "try")), codes::kOutCannotWrite);
  EXPECT_FALSE(folder->undo_words());
  EXPECT_EQ(fs::file_size(scratch / ".fairhole/history.jsonl"), 0U);
}

/// A program that saves "1", "2", ... and tells after each; killed at any moment.
TEST(JobFolder, KilledAtAnyMomentLosesAtMostTheChangeInFlight) {
  for (int trial = 0; trial < 25; ++trial) {
    const Scratch scratch;
    put(scratch / "job.json", "0");
    std::array<int, 2> told{};
    ASSERT_EQ(pipe(told.data()), 0);
    const pid_t child = fork();
    if (child == 0) {
      const auto folder = *JobFolder::open((scratch / "").string());
      Stamp stamp = folder->read("job.json")->stamp;
      for (int i = 1;; ++i) {
        stamp = folder->save("job.json", std::to_string(i), stamp, "change " + std::to_string(i))->stamp;
        if (write(told[1], &i, sizeof i) != sizeof i) _exit(1);
      }
    }
    close(told[1]);
    usleep(5000 + 3700 * static_cast<useconds_t>(trial));
    kill(child, SIGKILL);
    waitpid(child, nullptr, 0);
    int last = 0;
    for (int i = 0; read(told[0], &i, sizeof i) == sizeof i;) last = i;
    close(told[0]);
    const auto folder = opened(scratch / "");
    const int now = std::stoi(text_of(scratch / "job.json"));
    EXPECT_GE(now, last);
    EXPECT_LE(now, last + 1);
    for (int i = now; i > 0; --i) ASSERT_TRUE(folder->undo()) << i;
    EXPECT_EQ(text_of(scratch / "job.json"), "0");
  }
}

TEST(History, ForgetsTheOldestChangesWithTheirStates) {
  const Scratch scratch;
  fs::create_directories(scratch / "states");
  History history(scratch / "");
  const auto stamp = [](std::size_t i) { return "state" + std::to_string(i); };
  for (std::size_t i = 0; i < kMostChanges + 5; ++i) {
    ASSERT_TRUE(history.keep(stamp(i), "x").empty());
    ASSERT_TRUE(history.keep(stamp(i + 1), "x").empty());
    ASSERT_TRUE(history.add({"job.json", stamp(i), stamp(i + 1), "change"}).empty());
  }
  ASSERT_TRUE(history.add_undo().empty());
  ASSERT_TRUE(history.forget_oldest().empty());
  History again(scratch / "");
  ASSERT_TRUE(again.load().empty());
  ASSERT_NE(again.to_redo(), nullptr);
  EXPECT_EQ(again.to_redo()->after, stamp(kMostChanges + 5));
  std::size_t left = 0;
  for (; again.to_undo() != nullptr; ++left) ASSERT_TRUE(again.add_undo().empty());
  EXPECT_EQ(left, kMostChanges - 1);
  EXPECT_FALSE(fs::exists(scratch / "states/state3"));
  EXPECT_TRUE(fs::exists(scratch / "states/state5"));
}

TEST(JobFolder, TypingInOneFieldIsTakenBackAtOnce) {
  const Scratch scratch;
  put(scratch / "a.csv", "");
  auto folder = opened(scratch / "");
  const auto type = [&](const std::string& text, const char* what, bool joins) {
    EXPECT_TRUE(folder->save("a.csv", text, folder->read("a.csv")->stamp, what, joins));
  };
  type("start", "begun", false);
  type("start 1", "row 1", false);
  type("start 12", "row 1", true);
  type("start 12.5", "row 1", true);
  type("start 12.5 3", "row 2", true);  // other words: a step of its own
  type("start 12.5 34", "row 2", true);
  folder.reset();
  folder = opened(scratch / "");  // the same after a restart
  const auto back = [&] { return folder->undo()->bytes; };
  EXPECT_EQ(back(), "start 12.5");
  EXPECT_EQ(back(), "start");
  EXPECT_EQ(folder->redo()->bytes, "start 12.5");
  type("start 12.57", "row 1", true);  // after something was taken back nothing is joined
  EXPECT_EQ(back(), "start 12.5");
  EXPECT_EQ(back(), "start");
  EXPECT_EQ(back(), "");
}

}  // namespace
}  // namespace fairhole::bench
