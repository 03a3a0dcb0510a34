// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "targets.h"

// libFuzzer's entry: FAIRHOLE_FUZZ_TARGET is the one function this fuzzer drives.
extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  fairhole::fuzz::FAIRHOLE_FUZZ_TARGET({reinterpret_cast<const char*>(data), size});
  return 0;
}
