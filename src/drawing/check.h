// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "fairhole/base/problem.h"
#include "fairhole/drawing/drawing.h"

namespace fairhole::drawing {

/// The first mark whose numbers no format can hold: not finite, beyond +-100 m, a radius or height not above
/// 0, a polyline of fewer than two points.
std::optional<Problem> find_bad_mark(const Drawing& drawing);

/// The same for a page: its size, its drawing and its frame.
std::optional<Problem> find_bad_mark(const Page& page);

/// Helper for std::visit over shapes.
template <class... F>
struct Overloaded : F... {
  using F::operator()...;
};
template <class... F>
Overloaded(F...) -> Overloaded<F...>;

}  // namespace fairhole::drawing
