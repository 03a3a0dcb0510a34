// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <utility>

#include "fairhole/fairing/plan.h"
#include "fairhole/fairing/rules.h"

namespace fairhole {
namespace {

template <class T, std::size_t N>
using Names = std::array<std::pair<T, const char*>, N>;

constexpr Names<FastenerKind, 4> kFasteners{
    {{FastenerKind::kRivet, "rivet"},
     {FastenerKind::kRivetHeadedFittedBolt, "rivet-headed fitted bolt"},
     {FastenerKind::kFittedBolt, "fitted bolt"},
     {FastenerKind::kClearanceBolt, "clearance bolt"}}};
constexpr Names<Method, 8> kMethods{{{Method::kTransfer, "transfer"},
                                     {Method::kOpenOut, "open-out"},
                                     {Method::kClear, "clear"},
                                     {Method::kBush, "bush"},
                                     {Method::kPlug, "plug"},
                                     {Method::kDrillToDrawing, "drill-to-drawing"},
                                     {Method::kLeaveOut, "leave-out"},
                                     {Method::kUndecided, "undecided"}}};
constexpr Names<State, 4> kStates{{{State::kSettled, "settled"},
                                   {State::kUndecided, "undecided"},
                                   {State::kLookAgain, "look again"},
                                   {State::kPinned, "pinned"}}};
constexpr Names<DrillingWay, 3> kWays{{{DrillingWay::kMarkedOut, "marked out by hand"},
                                       {DrillingWay::kTemplate, "template"},
                                       {DrillingWay::kCnc, "CNC"}}};

template <class T, std::size_t N>
const char* name_of(const Names<T, N>& names, T value) {
  const auto* const found =
      std::find_if(names.begin(), names.end(), [value](const auto& entry) { return entry.first == value; });
  return found == names.end() ? "" : found->second;
}

}  // namespace

const char* fastener_name(FastenerKind kind) { return name_of(kFasteners, kind); }
const char* method_name(Method method) { return name_of(kMethods, method); }
const char* state_name(State state) { return name_of(kStates, state); }
const char* drilling_way_name(DrillingWay way) { return name_of(kWays, way); }

bool is_drilled(const StackPlan& stack) {
  return stack.method != Method::kUndecided && stack.method != Method::kLeaveOut;
}

}  // namespace fairhole
