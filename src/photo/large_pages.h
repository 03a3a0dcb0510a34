// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#ifdef __linux__
#include <sys/mman.h>
#include <unistd.h>
#endif

#include <cstddef>
#include <cstdint>
#include <vector>

namespace fairhole::photo {

/// Makes `values` as many zeros, in memory asked of the system in its large pages where it has them: a
/// photograph's 48 MB of small ones take half as long to get as the photograph to unpack.
template <class Value>
void make_room(std::size_t count, std::vector<Value>& values) {
  values.clear();
  values.reserve(count);
#ifdef __linux__
  const auto page = static_cast<std::size_t>(sysconf(_SC_PAGESIZE));
  auto* const bytes = reinterpret_cast<std::byte*>(values.data());
  const std::size_t size = count * sizeof(Value),
                    skip = (page - reinterpret_cast<std::uintptr_t>(bytes) % page) % page;
  if (size > skip + page)
    madvise(bytes + skip, (size - skip) / page * page, MADV_HUGEPAGE);  // a wish, no more
#endif
  values.resize(count);
}

}  // namespace fairhole::photo
