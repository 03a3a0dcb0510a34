// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include <fstream>
#include <sstream>
#include <string>

#include "../fits/table.h"

namespace fairhole::fits {

/// A table of fixtures/reference: copied or computed apart from the program (its README names the sources).
inline Table reference_table(const std::string& name) {
  std::ifstream file(FAIRHOLE_SOURCE_DIR "/fixtures/reference/" + name);
  EXPECT_TRUE(file.good()) << name;
  std::ostringstream text;
  text << file.rdbuf();
  return Table(text.str());
}

}  // namespace fairhole::fits
