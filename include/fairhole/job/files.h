// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/base/result.h"

namespace fairhole::job {

/// All bytes of a file, up to `most_mb`. `name` is what messages call it. Problem: kFileUnreadable.
Result<std::string> read_file(const std::string& path, const std::string& name, unsigned most_mb = 64);

/// Writes a file that is not there yet, whole or not at all. Problems: kOutForeign (something of that name is
/// there), kOutCannotWrite.
Problems write_new_file(const std::string& path, const std::string& bytes);

/// Several such files, all or none.
struct NewFile {
  std::string path, bytes;
};
Problems write_new_files(const std::vector<NewFile>& files);

}  // namespace fairhole::job
