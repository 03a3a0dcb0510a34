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
  const auto page = static_cast<std::uintptr_t>(sysconf(_SC_PAGESIZE));
  const auto first = (reinterpret_cast<std::uintptr_t>(values.data()) + page - 1) / page * page;
  const auto last = reinterpret_cast<std::uintptr_t>(values.data() + count) / page * page;
  if (last > first) madvise(reinterpret_cast<void*>(first), last - first, MADV_HUGEPAGE);  // a wish, no more
#endif
  values.resize(count);
}

}  // namespace fairhole::photo
