// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "result_set.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <sstream>

#include "fairhole/job/run.h"
#include "fairhole/job/sha256.h"
#include "test_job.h"

namespace fairhole::job {
namespace {

namespace fs = std::filesystem;
using test::Scratch;
using ::testing::ElementsAre;
using ::testing::IsEmpty;
using ::testing::UnorderedElementsAre;

// Source: FIPS 180-4 examples (NIST CSRC, SHA256.pdf), messages "abc" and of two blocks.
TEST(Sha256, GivesThePublishedDigests) {
  EXPECT_EQ(sha256_hex("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(sha256_hex("abc", 12), "ba7816bf8f01");
}

std::string bytes_of(const fs::path& path) {
  std::ifstream stream(path, std::ios::binary);
  std::ostringstream text;
  text << stream.rdbuf();
  return text.str();
}

void write(const fs::path& path, const std::string& bytes) { std::ofstream(path, std::ios::binary) << bytes; }

std::vector<std::string> names_in(const fs::path& folder) {
  std::vector<std::string> names;
  for (const fs::directory_entry& entry : fs::directory_iterator(folder))
    names.push_back(entry.path().filename().string());
  return names;
}

TEST(ResultSet, NewFolderAppearsWhole) {
  const Scratch scratch;
  EXPECT_THAT(put_result_set((scratch / "a/b/out/").string(), {{"plan.json", "{}\n"}, {"empty", ""}}),
              IsEmpty());
  EXPECT_THAT(names_in(scratch / "a/b"), ElementsAre("out"));
  EXPECT_THAT(names_in(scratch / "a/b/out"), UnorderedElementsAre("plan.json", "empty", kManifestName));
  EXPECT_EQ(bytes_of(scratch / "a/b/out/plan.json"), "{}\n");
}

TEST(ResultSet, NextSetReplacesTheEarlierAndLeavesForeignFilesAlone) {
  const Scratch scratch;
  const std::string out = (scratch / "out").string();
  ASSERT_THAT(put_result_set(out, {{"plan.json", "1"}, {"old plate.dxf", "1"}}), IsEmpty());
  write(scratch / "out/notes.txt", "mine");
  EXPECT_THAT(put_result_set(out, {{"plan.json", "2"}, {"new plate.dxf", "2"}}), IsEmpty());
  EXPECT_THAT(names_in(out), UnorderedElementsAre("plan.json", "new plate.dxf", "notes.txt", kManifestName));
  EXPECT_EQ(bytes_of(scratch / "out/plan.json"), "2");
  EXPECT_EQ(bytes_of(scratch / "out/notes.txt"), "mine");
}

TEST(ResultSet, ForeignFileOfOurNameIsRefusedAndNothingChanges) {
  const Scratch scratch;
  const std::string out = (scratch / "out").string();
  ASSERT_THAT(put_result_set(out, {{"plan.json", "1"}}), IsEmpty());
  write(scratch / "out/holes.csv", "mine");
  const Problems problems = put_result_set(out, {{"plan.json", "2"}, {"holes.csv", "2"}});
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_EQ(describe(problems[0]),
            "E162 " + (scratch / "out/holes.csv").string() +
                ": this file is not from an earlier run; move it away, or name another folder");
  EXPECT_EQ(bytes_of(scratch / "out/plan.json"), "1");
  EXPECT_EQ(bytes_of(scratch / "out/holes.csv"), "mine");
}

TEST(ResultSet, AFailureHalfWayPutsEverythingBack) {
  const Scratch scratch;
  const std::string out = (scratch / "out").string();
  ASSERT_THAT(put_result_set(out, {{"plan.json", "1"}, {"a.dxf", "1"}}), IsEmpty());
  // A name longer than any file system takes: the set cannot be written whole.
  const Problems problems = put_result_set(out, {{"plan.json", "2"}, {std::string(300, 'x'), "2"}});
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_EQ(problems[0].code, codes::kOutCannotWrite);
  EXPECT_THAT(names_in(out), UnorderedElementsAre("plan.json", "a.dxf", kManifestName));
  EXPECT_EQ(bytes_of(scratch / "out/plan.json"), "1");
  EXPECT_THAT(put_result_set((scratch / "new").string(), {{std::string(300, 'x'), "2"}}),
              ::testing::SizeIs(1));
  EXPECT_FALSE(fs::exists(scratch / "new"));
}

TEST(ResultSet, AForgedManifestReachesNoOtherFolder) {
  const Scratch scratch;
  const std::string out = (scratch / "out").string();
  ASSERT_THAT(put_result_set(out, {{"plan.json", "1"}}), IsEmpty());
  write(scratch / "precious", "mine");
  write(scratch / "out" / kManifestName,
        "head\n" + std::string(64, '0') + "  ../precious\n" + std::string(64, '0') + "  plan.json\n");
  EXPECT_THAT(put_result_set(out, {{"plan.json", "2"}}), IsEmpty());
  EXPECT_EQ(bytes_of(scratch / "precious"), "mine");
}

TEST(ResultSet, AFileIsNoFolder) {
  const Scratch scratch;
  write(scratch / "out", "mine");
  const Problems problems = put_result_set((scratch / "out").string(), {{"plan.json", "1"}});
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_EQ(describe(problems[0]),
            "E160 " + (scratch / "out").string() + ": this is no folder; name a folder for the results");
  EXPECT_EQ(bytes_of(scratch / "out"), "mine");
}

TEST(NewFolder, TakesAnAbsentOrEmptyFolderAlone) {
  const Scratch scratch;
  fs::create_directory(scratch / "empty");
  for (const char* name : {"absent", "empty"}) {
    EXPECT_THAT(put_new_folder((scratch / name).string(), {{"job.json", "{}"}, {"readings/a.csv", "x"}}),
                IsEmpty());
    EXPECT_THAT(names_in(scratch / name), UnorderedElementsAre("job.json", "readings"));
    EXPECT_EQ(bytes_of(scratch / name / "readings/a.csv"), "x");
  }
  const Problems problems = put_new_folder((scratch / "absent").string(), {{"job.json", "2"}});
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_EQ(problems[0].code, codes::kNewNotEmpty);
  EXPECT_EQ(bytes_of(scratch / "absent/job.json"), "{}");
}

}  // namespace
}  // namespace fairhole::job
