// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>
#include <optional>

#include "fairhole/base/result.h"
#include "fairhole/pattern/hole.h"

/// Each adds its command to the program and, when chosen, does it and sets `status` to the exit status.
namespace fairhole::cli {

void add_run(CLI::App& app, int& status);
void add_check_back(CLI::App& app, int& status);
void add_new(CLI::App& app, int& status);
void add_survey(CLI::App& app, int& status);
void add_register(CLI::App& app, int& status);
void add_infer(CLI::App& app, int& status);
void add_fair(CLI::App& app, int& status);
void add_fit(CLI::App& app, int& status);
void add_board(CLI::App& app, int& status);
void add_photo(CLI::App& app, int& status);
void add_bench(CLI::App& app, int& status);
void add_manual(CLI::App& app, int& status);

/// Problems to stderr, one a line; returns the exit status.
int complain(const Problems& problems);

/// To stderr, where a measured file carries no covariance over all its holes.
void warn_if_independent(const MeasuredFace& face, const std::string& file);

/// SOURCE_DATE_EPOCH, where it is set. Problem: kBadEpoch.
Result<std::optional<long long>> source_date_epoch();

/// Text to stdout; 0, or 2 when it could not be written (a full disk behind a pipe).
int say(const std::string& text);

}  // namespace fairhole::cli
