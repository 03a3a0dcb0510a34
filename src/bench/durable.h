// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <string_view>

#include "fairhole/base/result.h"

/// Writing that a power cut does not undo.
namespace fairhole::bench {

/// Replaces the file as a whole: afterwards, and whatever happens on the way, it holds the old bytes or the
/// new.
Problems replace_durably(const std::filesystem::path& path, std::string_view bytes);

/// Adds at the end of the file. A program killed on the way may leave a part of `bytes` there; one that fails
/// leaves nothing.
Problems append_durably(const std::filesystem::path& path, std::string_view bytes);

Problems shorten_durably(const std::filesystem::path& path, std::uintmax_t size);

Problems remove_durably(const std::filesystem::path& path);

}  // namespace fairhole::bench
