// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <set>
#include <string>
#include <utility>
#include <vector>

#include "fairhole/base/problem.h"

namespace fairhole::job {

/// A file's name and its bytes.
using NamedBytes = std::vector<std::pair<std::string, std::string>>;

/// The record of a run's files, one of them itself: name and SHA-256 of each.
inline constexpr const char* kManifestName = "fairhole-results.txt";

/// Stands in the folder while files change places. Who finds it later: a run was killed then, and the files
/// may be of two sets; the next run replaces them all.
inline constexpr const char* kUnfinishedName = "fairhole-results-unfinished.txt";

/// Puts the files into `folder` as one set with a manifest: all, or none and everything as before. Files
/// named in an earlier manifest are replaced or, when no longer among `files`, removed; others of those names
/// are refused. Runs into one folder take turns.
Problems put_result_set(const std::string& folder, const NamedBytes& files);

/// Writes files into a folder that is absent or empty; makes folders below it as names ask. All or none.
Problems put_new_folder(const std::string& folder, const NamedBytes& files);

}  // namespace fairhole::job
