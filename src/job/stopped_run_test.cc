// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Runs that are killed, run out of room, may not write or meet another in one folder: the results are the old
// set, the new set, or plainly marked.
#include <fcntl.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <fstream>
#include <functional>
#include <map>
#include <random>
#include <sstream>
#include <string>
#include <vector>

#include "fairhole/job/run.h"
#include "fairhole/job/sha256.h"
#include "result_set.h"
#include "test_job.h"

namespace fairhole::job {
namespace {

namespace fs = std::filesystem;
using test::Scratch;
using ::testing::ElementsAre;
using ::testing::IsEmpty;

/// A set of one run: every file says which, and some names are that run's alone.
NamedBytes set_of(const std::string& run) {
  NamedBytes files;
  for (int i = 0; i < 12; ++i) files.emplace_back("sheet " + std::to_string(i), run + std::string(2000, 'x'));
  files.emplace_back("plate " + run, run);
  return files;
}

std::map<std::string, std::string> held_by(const fs::path& folder) {
  std::map<std::string, std::string> files;
  for (const auto& entry : fs::directory_iterator(folder)) {
    if (!entry.is_regular_file()) continue;
    std::ostringstream bytes;
    bytes << std::ifstream(entry.path(), std::ios::binary).rdbuf();
    files[entry.path().filename()] = bytes.str();
  }
  return files;
}

/// Whether the folder holds the set of `run`, whole, and nothing of another.
bool is_whole(const std::map<std::string, std::string>& held, const std::string& run) {
  std::map<std::string, std::string> expected;
  for (const auto& [name, bytes] : set_of(run)) expected[name] = bytes;
  for (const auto& [name, bytes] : expected) {
    const auto manifest = held.find(kManifestName);
    if (manifest == held.end() || manifest->second.find(sha256_hex(bytes) + "  " + name) == std::string::npos)
      return false;
  }
  return std::ranges::count_if(
             held,
             [&](const auto& file) {
               return file.first != kManifestName &&
                      (!expected.contains(file.first) || expected.at(file.first) != file.second);
             }) == 0 &&
         held.size() == expected.size() + 1;
}

/// A process of its own; its exit status is what `work` gives.
pid_t begin(const std::function<int()>& work) {
  const pid_t child = fork();
  if (child == 0) _exit(work());
  return child;
}

int end_of(pid_t child) {
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

TEST(StoppedRun, LeavesTheOldSetTheNewSetOrAMark) {
  constexpr int kKilled = 120,
                kAtMost = 2000;  // a busy machine hardly gets to change files before it is killed
  const Scratch scratch;
  const fs::path out = scratch / "out";
  ASSERT_THAT(put_result_set(out, set_of("A")), IsEmpty());
  std::mt19937_64 random(1913);
  int marked = 0, whole = 0;
  for (int i = 0; i < kKilled || ((marked == 0 || whole == 0) && i < kAtMost); ++i) {
    const pid_t child = begin([&] {
      for (int turn = 0;; ++turn) put_result_set(out, set_of(turn % 2 == 0 ? "B" : "A"));
      return 0;
    });
    usleep(static_cast<useconds_t>(std::uniform_int_distribution(500, 15000)(random)));
    kill(child, SIGKILL);
    end_of(child);
    const auto held = held_by(out);
    if (held.contains(kUnfinishedName)) {
      ++marked;
      EXPECT_THAT(held.at(kUnfinishedName), ::testing::StartsWith("NOT TO BE USED: "));
    } else {
      ++whole;
      EXPECT_TRUE(is_whole(held, "A") || is_whole(held, "B")) << "kill " << i;
    }
  }
  EXPECT_GT(marked, 0) << "no kill came while files changed places: this test shows nothing";
  EXPECT_GT(whole, 0);
  // However it was left, the next run puts all right and leaves no litter.
  ASSERT_THAT(put_result_set(out, set_of("C")), IsEmpty());
  EXPECT_TRUE(is_whole(held_by(out), "C"));
  EXPECT_EQ(std::distance(fs::directory_iterator(out), {}),
            static_cast<std::ptrdiff_t>(set_of("C").size() + 1));
}

TEST(StoppedRun, AMarkIsNoLicenceForForeignFiles) {
  const Scratch scratch;
  const fs::path out = scratch / "out";
  ASSERT_THAT(put_result_set(out, set_of("A")), IsEmpty());
  std::ofstream(out / kUnfinishedName) << "NOT TO BE USED\n" << std::string(64, ' ') << "  ../precious\n";
  std::ofstream(scratch / "precious") << "mine";
  std::ofstream(out / "plate B") << "mine";
  EXPECT_THAT(put_result_set(out, set_of("B")), ::testing::SizeIs(1));
  EXPECT_EQ(held_by(out).at("plate B"), "mine");
  EXPECT_EQ(held_by(scratch / ".").at("precious"), "mine");
}

TEST(RunsIntoOneFolder, TakeTurns) {
  const Scratch scratch;
  const fs::path out = scratch / "new" / "out";
  std::vector<pid_t> runs;
  for (const char* name : {"A", "B", "C", "D"})
    runs.push_back(begin([&out, name] {
      for (int i = 0; i < 25; ++i)
        if (!put_result_set(out, set_of(name)).empty()) return 1;
      return 0;
    }));
  for (const pid_t run : runs) EXPECT_EQ(end_of(run), 0);
  const auto held = held_by(out);
  EXPECT_EQ(is_whole(held, "A") + is_whole(held, "B") + is_whole(held, "C") + is_whole(held, "D"), 1);
  EXPECT_EQ(static_cast<std::size_t>(std::distance(fs::directory_iterator(out), {})), held.size());
}

/// What put_result_set says in a process that may do less than this one, the scratch folder left out.
std::vector<std::string> said_by(const fs::path& scratch, const fs::path& out,
                                 const std::function<void()>& hinder) {
  const fs::path said = scratch / "said";
  end_of(begin([&] {
    const int kept = open(said.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    hinder();
    std::string text;
    for (const Problem& problem : put_result_set(out, set_of("B"))) text += describe(problem) + "\n";
    return write(kept, text.data(), text.size()) < 0 ? 1 : 0;
  }));
  std::ifstream stream(said);
  std::vector<std::string> lines;
  for (std::string line; std::getline(stream, line);) {
    for (auto at = line.find(scratch.string()); at != std::string::npos; at = line.find(scratch.string()))
      line.erase(at, scratch.string().size());
    lines.push_back(line);
  }
  return lines;
}

/// No file beyond 1000 bytes, as on a disk that is full.
void no_room() {
  std::signal(SIGXFSZ, SIG_IGN);
  const rlimit little{1000, 1000};
  setrlimit(RLIMIT_FSIZE, &little);
}

TEST(FullDisk, LeavesTheOldSetAndSaysSo) {
  const Scratch scratch;
  const fs::path out = scratch / "out";
  ASSERT_THAT(put_result_set(out, set_of("A")), IsEmpty());
  const auto said = said_by(scratch / ".", out, no_room);
  ASSERT_EQ(said.size(), 1U);
  EXPECT_THAT(said[0],
              ::testing::MatchesRegex("E163 .*out/\\.fairhole-new-[0-9]+/sheet 0: cannot be written \\(no "
                                      "permission, or the disk is full\\); look at permissions and free "
                                      "space; nothing was changed"));
  EXPECT_TRUE(is_whole(held_by(out), "A"));
  EXPECT_EQ(std::distance(fs::directory_iterator(out), {}), 14);
  EXPECT_EQ(said_by(scratch / ".", scratch / "fresh", no_room).size(), 1U);
  EXPECT_FALSE(fs::exists(scratch / "fresh"));
}

TEST(ReadOnlyFolder, LeavesTheOldSetAndSaysSo) {
  const Scratch scratch;
  const fs::path out = scratch / "out";
  ASSERT_THAT(put_result_set(out, set_of("A")), IsEmpty());
  fs::permissions(
      out, fs::perms::owner_read | fs::perms::owner_exec | fs::perms::others_read | fs::perms::others_exec);
  const auto nobody = [] {  // root may write everywhere
    if (geteuid() == 0 && setuid(65534) != 0) _exit(2);
  };
  EXPECT_THAT(said_by(scratch / ".", out, nobody),
              ElementsAre(::testing::EndsWith(
                  "out: cannot be written (Permission denied); look at permissions and free "
                  "space; nothing was changed")));
  EXPECT_TRUE(is_whole(held_by(out), "A"));
  fs::permissions(out, fs::perms::owner_all);
}

}  // namespace
}  // namespace fairhole::job
