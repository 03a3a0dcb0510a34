// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/sha256.h"

#include <fmt/format.h>
#include <openssl/evp.h>

#include <array>

namespace fairhole::job {

std::string sha256_hex(const std::string& bytes, std::size_t digits) {
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned int size = 0;
  EVP_Digest(bytes.data(), bytes.size(), digest.data(), &size, EVP_sha256(), nullptr);
  std::string hex;
  for (unsigned int i = 0; i < size; ++i) hex += fmt::format("{:02x}", digest[i]);
  return hex.substr(0, digits);
}

}  // namespace fairhole::job
