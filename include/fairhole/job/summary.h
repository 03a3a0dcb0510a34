// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fairhole/job/run.h"

namespace fairhole::job {

/// What a run came to, in a few plain lines: what to drill, what to open out, what to look at again, where
/// the files lie.
std::string run_summary(const RunResult& result, const std::string& folder);

}  // namespace fairhole::job
