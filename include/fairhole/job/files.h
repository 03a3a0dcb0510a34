// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fairhole/base/result.h"

namespace fairhole::job {

/// All bytes of a file, up to 64 MB. `name` is what messages call it. Problem: kFileUnreadable.
Result<std::string> read_file(const std::string& path, const std::string& name);

}  // namespace fairhole::job
