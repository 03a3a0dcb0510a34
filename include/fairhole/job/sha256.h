// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>

namespace fairhole::job {

/// First `digits` hex digits of the SHA-256 of `bytes` (FIPS 180-4; OpenSSL).
std::string sha256_hex(const std::string& bytes, std::size_t digits = 64);

}  // namespace fairhole::job
