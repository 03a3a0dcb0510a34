// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "targets.h"

namespace fairhole::fuzz {

void PrintTo(const Target& target, std::ostream* out) { *out << target.name; }

namespace {

namespace fs = std::filesystem;

class Corpus : public ::testing::TestWithParam<Target> {};

// What the fuzzers have kept, and what they once broke: each file must go through without a broken promise.
TEST_P(Corpus, GoesThrough) {
  std::size_t files = 0;
  for (const auto& entry :
       fs::directory_iterator(fs::path(FAIRHOLE_SOURCE_DIR) / "fixtures/fuzz" / GetParam().name)) {
    SCOPED_TRACE(entry.path());
    std::ifstream stream(entry.path(), std::ios::binary);
    std::ostringstream bytes;
    bytes << stream.rdbuf();
    GetParam().run(bytes.view());
    ++files;
  }
  EXPECT_GT(files, 2U);
}

INSTANTIATE_TEST_SUITE_P(Each, Corpus, ::testing::ValuesIn(kTargets),
                         [](const auto& target) { return std::string(target.param.name); });

}  // namespace
}  // namespace fairhole::fuzz
