// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <string_view>

#include "fairhole/base/result.h"

/// What a stranger can hand to the program, one function for each kind: bytes in, nothing out. A function
/// aborts when a promise of the headers is broken; the sanitizers see the rest. libFuzzer drives one of them
/// (fuzzer.cc), and the corpora in fixtures/fuzz are played through all of them by an ordinary test
/// (replay_test.cc).
namespace fairhole::fuzz {

void lengths(std::string_view bytes);     ///< lengths and fits as a fitter writes them
void readings(std::string_view bytes);    ///< a readings file, read and adjusted
void jobs(std::string_view bytes);        ///< job.json, no other files beside it
void measured(std::string_view bytes);    ///< measured holes: registered, and the pattern inferred
void patterns(std::string_view bytes);    ///< a pattern file
void fair_cases(std::string_view bytes);  ///< a bare fairing case
void plans(std::string_view bytes);       ///< plan.json and a record, as check-back reads them
void catalogues(std::string_view bytes);  ///< a shop's own catalogue
void boards(std::string_view bytes);      ///< BOARD.json
void pictures(std::string_view bytes);    ///< a photograph: header, EXIF, decoding, marks looked for
void requests(std::string_view bytes);    ///< what a browser asks the bench, one request after the other

struct Target {
  std::string_view name;
  void (*run)(std::string_view bytes);
};
inline constexpr std::array<Target, 11> kTargets{{{"lengths", lengths},
                                                  {"readings", readings},
                                                  {"jobs", jobs},
                                                  {"measured", measured},
                                                  {"patterns", patterns},
                                                  {"fair_cases", fair_cases},
                                                  {"plans", plans},
                                                  {"catalogues", catalogues},
                                                  {"boards", boards},
                                                  {"pictures", pictures},
                                                  {"requests", requests}}};

/// Aborts with `promise` on stderr unless it `holds`.
void must(bool holds, std::string_view promise);

/// Each problem has a code, says what was found and what would be right.
void must_be_clear(const Problems& problems);

}  // namespace fairhole::fuzz
