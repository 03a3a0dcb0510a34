// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cassert>
#include <utility>
#include <variant>

#include "fairhole/base/problem.h"

namespace fairhole {

/// A value, or the problems that kept us from it (at least one). The only way the library reports what a user
/// can cause; exceptions are left to what no caller can foresee (out of memory).
template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value)
      : state_(std::in_place_index<0>, std::move(value)) {}  // NOLINT(google-explicit-constructor)
  Result(Problem problem) : state_(std::in_place_index<1>, Problems{std::move(problem)}) {}  // NOLINT
  Result(Problems problems) : state_(std::in_place_index<1>, std::move(problems)) {          // NOLINT
    assert(!std::get<1>(state_).empty());
  }

  bool ok() const { return state_.index() == 0; }
  explicit operator bool() const { return ok(); }
  const T& operator*() const& { return std::get<0>(state_); }
  T& operator*() & { return std::get<0>(state_); }
  T&& operator*() && { return std::get<0>(std::move(state_)); }
  const T* operator->() const { return &std::get<0>(state_); }
  T* operator->() { return &std::get<0>(state_); }
  const Problems& problems() const { return std::get<1>(state_); }

 private:
  std::variant<T, Problems> state_;
};

}  // namespace fairhole
