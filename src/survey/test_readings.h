// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include <fstream>
#include <sstream>
#include <string>

#include "fairhole/survey/survey.h"

namespace fairhole::test {

inline std::string file_text(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  EXPECT_TRUE(in) << path;
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

inline Readings must_parse(const std::string& text, const std::string& source = "test.csv") {
  auto readings = parse_readings(text, source);
  if (!readings) {
    for (const Problem& p : readings.problems()) ADD_FAILURE() << describe(p);
    return {};
  }
  return *readings;
}

inline Readings read_network(const std::string& name) {
  return must_parse(file_text(std::string(FAIRHOLE_SOURCE_DIR) + "/fixtures/networks/" + name), name);
}

inline SurveyResult must_adjust(const Readings& readings, const SurveyOptions& options = {}) {
  auto result = adjust(readings, options);
  if (!result) {
    for (const Problem& p : result.problems()) ADD_FAILURE() << describe(p);
    return {};
  }
  return *result;
}

/// A file of the given data rows under the usual header row.
inline std::string with_header(const std::string& rows, const std::string& lines_before = {}) {
  return lines_before + "kind,from,to,reading,sigma,note\n" + rows;
}

}  // namespace fairhole::test
