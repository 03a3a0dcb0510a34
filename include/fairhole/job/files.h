// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fairhole/base/result.h"

namespace fairhole::job {

/// All bytes of a file, up to 64 MB. `name` is what messages call it. Problem: kFileUnreadable.
Result<std::string> read_file(const std::string& path, const std::string& name);

/// Writes a file that is not there yet, whole or not at all. Problems: kOutForeign (something of that name is
/// there), kOutCannotWrite.
Problems write_new_file(const std::string& path, const std::string& bytes);

}  // namespace fairhole::job
